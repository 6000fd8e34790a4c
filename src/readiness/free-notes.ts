// A defect for which nobody named an item is told in the words of whoever found it. They stand in its own row alone, where they can be
// forgotten, and in no state and no outcome: whoever tells reasons asks for them.
import type { Reason } from "../../shared/rules/standing.ts";
import { firstWords } from "../../shared/words/say-reason.ts";
import type { Database } from "../platform/index.ts";
import { readNotes } from "./note-store.ts";

/** Reasons as they are told: with the words of what names no item. */
export type InWords = (reasons: readonly Reason[]) => readonly Reason[];
export const withoutWords: InWords = (reasons) => reasons;

type About = Pick<Reason, "defectId" | "itemId">;

/** Asks for the words that these reasons want; nothing is read where each names its item. */
export async function wordsFor(db: Pick<Database, "rows">, reasons: readonly About[]): Promise<InWords> {
  const wanted = reasons.flatMap(({ defectId, itemId }) => (itemId === null && defectId !== undefined ? [defectId] : []));
  if (wanted.length === 0) return withoutWords;
  const notes = await readNotes(db, [...new Set(wanted)]);
  return (told) =>
    told.map((reason) => {
      const note = reason.itemId === null && reason.defectId !== undefined ? notes.get(reason.defectId) : undefined;
      return note === undefined ? reason : { ...reason, words: firstWords(note) };
    });
}

/** The same behind an act that is stored: where the words cannot be read, its answer is given without them. */
export const wordsIfRead = (db: Pick<Database, "rows">, reasons: readonly About[]): Promise<InWords> =>
  wordsFor(db, reasons).catch(() => withoutWords);
