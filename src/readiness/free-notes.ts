// A defect for which nobody named an item is shown in the words of whoever found it. They are kept only in the defect's own row, where they
// can be forgotten, and in no state and no outcome: whoever shows reasons asks for them.
import type { Reason } from "../../shared/rules/standing.ts";
import { firstWords } from "../../shared/words/say-reason.ts";
import type { Database } from "../platform/index.ts";
import { readNotes } from "./note-store.ts";

/** Adds to reasons the words of defects that name no item. */
export type InWords = (reasons: readonly Reason[]) => readonly Reason[];
export const withoutWords: InWords = (reasons) => reasons;

type About = Pick<Reason, "defectId" | "itemId">;

/** Reads the words that these reasons need; nothing is read where each names its item. */
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

/** The same for an act that is stored already: where the words cannot be read, it is answered without them. */
export const wordsIfRead = (db: Pick<Database, "rows">, reasons: readonly About[]): Promise<InWords> =>
  wordsFor(db, reasons).catch(() => withoutWords);
