// What is wrong with a pack, in words, and reading what a pack holds without trusting it.
import { z } from "zod";
import { type WordKey, type WordParams, word } from "../../shared/words/index.ts";
import { canonical } from "../ledger/index.ts";

/** The first thing that does not hold. */
export class Fault extends Error {
  constructor(key: WordKey, params: WordParams = {}) {
    super(word(key, "en", params));
  }
}

/** The text of bytes. Throws a fault where they are no UTF-8. */
export function utf8(name: string, bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new Fault("audit.why.format", { name, what: "UTF-8" });
  }
}

/** JSON of that shape. Throws a fault that names the file and what was found. */
export function parsed<T>(name: string, schema: z.ZodType<T>, text: string): T {
  try {
    return schema.parse(JSON.parse(text));
  } catch (error) {
    const what = error instanceof z.ZodError ? `${error.issues[0]?.path.join("/") ?? ""} ${error.issues[0]?.message ?? ""}`.trim() : "JSON";
    throw new Fault("audit.why.format", { name, what });
  }
}

/** A number of things. */
export const count = z.number().int().min(0);

/** The canonical form; null for what has none. */
export function canonicalOrNull(value: unknown): string | null {
  try {
    return canonical(value);
  } catch {
    return null;
  }
}
