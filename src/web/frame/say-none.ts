import { sayCounted } from "./words.ts";

/** Why a list is empty: there are no such things at all (`nothing`), or none that matches what was searched for. */
export function sayNone(nothing: string, count: number, looked: string): string {
  if (looked === "" || count === 0) return nothing;
  return sayCounted("page.not-like", count, { mark: looked });
}
