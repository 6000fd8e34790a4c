// Which view is shown: the part of the address after #/, so that all views are one page, which opens without a signal.
import { createStore } from "./store.ts";

const read = (): readonly string[] =>
  location.hash
    .replace(/^#\/?/, "")
    .split("/")
    .filter((part) => part !== "")
    .map((part) => {
      try {
        return decodeURIComponent(part);
      } catch {
        return part;
      }
    });

export const path = createStore(read());

addEventListener("hashchange", () => path.set(read()));

/** The address of a view, for links: `to("bench", id)`. */
export const to = (...parts: readonly string[]): string => `#/${parts.map(encodeURIComponent).join("/")}`;

export function go(...parts: readonly string[]): void {
  location.hash = to(...parts).slice(1);
}
