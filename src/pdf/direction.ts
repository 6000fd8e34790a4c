// Which way the letters of a line run: the Unicode Bidirectional Algorithm (UAX 9), with names of another direction kept apart.
import bidiFactory from "bidi-js";
import { isolateEnd, isolateStart, runsRightToLeft } from "../../shared/words/isolate.ts";

// Its types describe an export called `default`, but Node.js gets the factory itself.
const bidi = (bidiFactory as unknown as typeof bidiFactory.default)();

// An isolate whose direction is known.
const toTheRight = "\u2066";
const toTheLeft = "\u2067";

/** The marks that a text carries until it is laid out. They are never drawn. */
export const isIsolateMark = (character: string): boolean => character === isolateStart || character === isolateEnd;
/** The same once the directions are known. */
export const isDirection = (character: string): boolean => /[\u2066-\u2069]/u.test(character);

export const withoutIsolates = (text: string): string => text.replaceAll(isolateStart, "").replaceAll(isolateEnd, "");

type Part = string | readonly Part[];

/** The characters of a text, with each isolate replaced by its own parts. An isolate mark without its other half is left out. */
function partsOf(text: string): readonly Part[] {
  const open: Part[][] = [[]];
  for (const character of text) {
    if (character === isolateStart) open.push([]);
    else if (character !== isolateEnd) open.at(-1)?.push(character);
    else if (open.length > 1) {
      const whole = open.pop() ?? [];
      open.at(-1)?.push(whole);
    }
  }
  while (open.length > 1) {
    const torn = open.pop() ?? [];
    open.at(-1)?.push(...torn);
  }
  return open[0] ?? [];
}

const strong = (part: Part | undefined): "L" | "R" | null => {
  if (typeof part !== "string") return null;
  const type = bidi.getBidiCharTypeName(part);
  return type === "L" ? "L" : type === "R" || type === "AL" ? "R" : null;
};

/**
 * A text runs to the left if its first letter does and most of its letters do, like a note in Hebrew that names a machine. A Hebrew name at the
 * beginning of an English line does not reverse the line.
 */
function runsLeft(parts: readonly Part[]): boolean {
  const directions = parts.map(strong).filter((direction) => direction !== null);
  const left = directions.filter((direction) => direction === "R").length;
  return directions[0] === "R" && left > directions.length - left;
}

/**
 * The text with an explicit direction for every isolate. In text that runs to the right, each stretch of letters that run to the left becomes an
 * isolate, which ends with the last such letter: so ', 3 defects' after a Hebrew name is not drawn into the name.
 */
function arranged(parts: readonly Part[], isToTheLeft: boolean): string {
  let out = "";
  for (let at = 0; at < parts.length; at += 1) {
    const part = parts[at] ?? "";
    if (typeof part !== "string") {
      const turns = runsLeft(part);
      out += `${turns ? toTheLeft : toTheRight}${arranged(part, turns)}${isolateEnd}`;
      continue;
    }
    if (isToTheLeft || strong(part) !== "R") {
      out += part;
      continue;
    }
    let end = at;
    for (let ahead = at + 1; ahead < parts.length; ahead += 1) {
      const next = parts[ahead];
      if (typeof next !== "string" || strong(next) === "L") break;
      if (strong(next) === "R" || (end === ahead - 1 && /\p{M}/u.test(next))) end = ahead;
    }
    out += `${toTheLeft}${parts.slice(at, end + 1).join("")}${isolateEnd}`;
    at = end;
  }
  return out;
}

export interface Directed {
  /** The text with what keeps its parts apart, which is never drawn. */
  readonly text: string;
  /** Of each UTF-16 unit; odd runs to the left. Null where all runs to the right. */
  readonly levels: Uint8Array | null;
}

/** The directions in a paragraph. */
export function directed(paragraph: string): Directed {
  if (!runsRightToLeft(paragraph)) return { text: withoutIsolates(paragraph), levels: null };
  const parts = partsOf(paragraph);
  const isToTheLeft = runsLeft(parts);
  const text = arranged(parts, isToTheLeft);
  return { text, levels: bidi.getEmbeddingLevels(text, isToTheLeft ? "rtl" : "ltr").levels };
}

/** Undoes `directed`, so that a text can be passed to it again. */
export const undirected = (text: string): string => text.replaceAll(toTheLeft, isolateStart).replaceAll(toTheRight, isolateStart);

/** The order in which pieces of these levels are seen from the left (UAX 9, rule L2). */
export function seenOrder(levels: readonly number[]): number[] {
  const order = levels.map((_, index) => index);
  const highest = Math.max(0, ...levels);
  for (let level = highest; level > 0; level -= 1) {
    for (let from = 0; from < order.length; from += 1) {
      if ((levels[order[from] ?? 0] ?? 0) < level) continue;
      let to = from;
      while (to < order.length && (levels[order[to] ?? 0] ?? 0) >= level) to += 1;
      order.splice(from, to - from, ...order.slice(from, to).reverse());
      from = to;
    }
  }
  return order;
}
