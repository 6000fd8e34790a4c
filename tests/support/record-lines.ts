// A line of a month's records, and what holds of it by itself: computed here, by nothing of the service.
import { createHash } from "node:crypto";
import { expect } from "vitest";

export type Line = Readonly<Record<string, unknown>> & { readonly chainId: string; readonly position: number; readonly sha256: string };

/** RFC 8785 for what entries hold, written here: members sorted by UTF-16 code units, numbers and strings as ECMAScript prints them. */
export function canonicalised(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalised).join(",")}]`;
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  const members = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${members.map(([name, member]) => `${JSON.stringify(name)}:${canonicalised(member)}`).join(",")}}`;
}
const hashOf = (value: unknown): string => createHash("sha256").update(canonicalised(value), "utf8").digest("hex");

/** Computes both hashes of a line from the line alone. */
export function mustHold(line: Line): void {
  const { sha256, salt, data, ...envelope } = line;
  expect(hashOf({ data, salt })).toBe(envelope["dataSha256"]);
  expect(hashOf(envelope)).toBe(sha256);
}
