// The one form of JSON in which records are hashed and statements signed.
import canonicalize from "canonicalize";

/** JSON in the one form of RFC 8785. Throws for what JSON cannot hold (NaN, half a surrogate pair). */
export function canonical(value: unknown): string {
  const text = canonicalize(value);
  if (text === undefined) throw new Error("nothing has no canonical form");
  return text;
}
