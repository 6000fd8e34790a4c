// What is wrong with a pack, in words, and reading what a pack holds without trusting it.
import { z } from "zod";
import { type WordKey, type WordParams, word } from "../../shared/words/index.ts";
import { canonical } from "../platform/index.ts";

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

/** A count of things. */
export const count = z.number().int().min(0);

/** The canonical JSON of a value; null if it has none. */
export function canonicalOrNull(value: unknown): string | null {
  try {
    return canonical(value);
  } catch {
    return null;
  }
}

/** An instant as a pack writes it: in UTC, with milliseconds, on a date that exists. */
export const instant = z.string().refine((text) => {
  const read = new Date(text);
  return !Number.isNaN(read.getTime()) && read.toISOString() === text;
});

/**
 * The lines of a file. Only LF ends a line: U+2028 and CR, at which some line readers also break, are part of it. Throws a fault if the last
 * line has no LF or the bytes are not UTF-8.
 */
export async function* linesOf(content: AsyncIterable<Uint8Array>, name: string): AsyncGenerator<string> {
  let begun: Uint8Array[] = [];
  for await (const chunk of content) {
    let from = 0;
    for (let end = chunk.indexOf(lineFeed); end !== -1; end = chunk.indexOf(lineFeed, from)) {
      yield utf8(name, Buffer.concat([...begun, chunk.subarray(from, end)]));
      begun = [];
      from = end + 1;
    }
    if (from < chunk.length) begun.push(chunk.subarray(from));
  }
  if (begun.length > 0) throw new Fault("audit.why.format", { name, what: "LF at its end" });
}
const lineFeed = 0x0a;

/** The text of a file, piece by piece as it is read. Throws a fault if it is not UTF-8. */
export async function* textOf(content: AsyncIterable<Uint8Array>, name: string): AsyncGenerator<string> {
  const decoder = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  try {
    for await (const chunk of content) yield decoder.decode(chunk, { stream: true });
    yield decoder.decode();
  } catch (error) {
    throw error instanceof TypeError ? new Fault("audit.why.format", { name, what: "UTF-8" }) : error;
  }
}
