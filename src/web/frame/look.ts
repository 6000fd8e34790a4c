// Light or dark, and how large: chosen on this device. Kept as attributes of <html>, which the styles read.
import { keptStore, type Store } from "./store.ts";

export const themes = ["auto", "light", "dark"] as const;
export type Theme = (typeof themes)[number];
export const sizes = ["usual", "large", "largest"] as const;
export type Size = (typeof sizes)[number];

const among =
  <Value extends string>(list: readonly Value[]) =>
  (text: string): text is Value =>
    (list as readonly string[]).includes(text);

export const theme: Store<Theme> = keptStore("ferrule.theme", "auto", among(themes));
export const size: Store<Size> = keptStore("ferrule.size", "usual", among(sizes));

const darkDevice = matchMedia("(prefers-color-scheme: dark)");

function show(): void {
  const dark = theme.get() === "dark" || (theme.get() === "auto" && darkDevice.matches);
  document.documentElement.dataset["theme"] = dark ? "dark" : "light";
  document.documentElement.dataset["size"] = size.get();
}

export function openLook(): void {
  theme.subscribe(show);
  size.subscribe(show);
  darkDevice.addEventListener("change", show);
  show();
}
