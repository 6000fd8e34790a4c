// Opaque cursors: the sort values of the last row, so that a page never repeats or skips a row that was there.
import { z } from "zod";
import { idSchema, instantSchema } from "../../../shared/contracts/common.ts";
import { platformErrors } from "../errors.ts";

// PostgreSQL's text cannot hold the character U+0000.
const anyText = z
  .string()
  .max(100)
  .refine((part) => !part.includes("\u0000"));
const partsSchema = z.array(anyText).min(1).max(3);

/**
 * Reads a cursor made by `pageFrom`; null at the beginning. `shape` says what its parts have to be where the database does not take
 * any text for them. Throws `not-valid` for one that was made up.
 */
export function cursorFrom(cursor: string | undefined, shape: z.ZodType<string[]> = partsSchema): string[] | null {
  if (cursor === undefined) return null;
  try {
    return shape.parse(JSON.parse(Buffer.from(cursor, "base64url").toString("utf8")));
  } catch {
    throw platformErrors.problem("not-valid", "The cursor is not one that this service gave out.", {
      issues: [
        {
          pointer: "/query/cursor",
          message: "take nextCursor of the page before, unchanged",
        },
      ],
    });
  }
}

/** The place in a list that goes by a moment and, within it, by id. */
export const momentAndIdSchema = z.tuple([instantSchema, idSchema]);

/** The place in a list that goes by a text and, where several have the same, by id. */
export const textAndIdSchema = z.tuple([anyText, idSchema]);

/** Cuts the page out of `limit + 1` rows; `keyOf` gives the sort values of a row, as text. */
export function pageFrom<Row, Item>(
  rows: readonly Row[],
  limit: number,
  keyOf: (row: Row) => readonly string[],
  itemOf: (row: Row) => Item,
): { items: Item[]; nextCursor: string | null } {
  const page = rows.slice(0, limit);
  const last = page.at(-1);
  const more = rows.length > limit && last !== undefined;
  return {
    items: page.map(itemOf),
    nextCursor: more ? Buffer.from(JSON.stringify(keyOf(last))).toString("base64url") : null,
  };
}
