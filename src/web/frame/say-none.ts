import { say, sayNumber } from "./words.ts";

/** Why a list is empty: there is nothing of the kind (`nothing`), or nothing of it is like what was looked for. */
export function sayNone(nothing: string, count: number, looked: string): string {
  if (looked === "" || count === 0) return nothing;
  return count === 1 ? say("page.one-not-like", { mark: looked }) : say("page.none-like", { count: sayNumber(count), mark: looked });
}
