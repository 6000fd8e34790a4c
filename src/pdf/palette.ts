// The colours of the reports. Each tone has a shape of its own besides (shapes.ts).
import type { Tone } from "./document.ts";

export const ink: Readonly<Record<Tone, string>> = {
  plain: "#1b1f24",
  good: "#1d5f38",
  warn: "#7a4e00",
  bad: "#8f1d1d",
  quiet: "#5d6670",
};
export const tint: Readonly<Record<Tone, string>> = {
  plain: "#f3f4f5",
  good: "#e8f2eb",
  warn: "#fbf1dc",
  bad: "#f8e7e5",
  quiet: "#f3f4f5",
};
export const hairline = "#c3c8cd";
