import { sayCounted } from "./words.ts";

/** Why a list is empty: there is nothing of the kind (`nothing`), or nothing of it is like what was looked for. */
export function sayNone(nothing: string, count: number, looked: string): string {
  if (looked === "" || count === 0) return nothing;
  return sayCounted("page.not-like", count, { mark: looked });
}
