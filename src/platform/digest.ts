// A digest that does not depend on the order of an object's fields.
import { createHash } from "node:crypto";

/** JSON with the fields of every object sorted. Throws RangeError for a value that is nested too deeply. */
export const sortedJson = (value: unknown): string =>
  JSON.stringify(value, (_key, part: unknown) =>
    part !== null && typeof part === "object" && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );

/** SHA-256 of `sortedJson`, in hex. */
export const digestOf = (value: unknown): string => createHash("sha256").update(sortedJson(value)).digest("hex");

/** An id that follows from a digest alone (RFC 9562, 5.8: version 8 is whoever makes it who says how). */
export const idOfDigest = (hex: string): string => {
  const variant = ((Number.parseInt(hex.slice(16, 17), 16) & 0x3) | 0x8).toString(16);
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
};
