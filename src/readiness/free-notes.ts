// A defect for which nobody named an item is shown in the words of whoever found it, and one that waits with the part for which it waits.
// Both are kept only where they can be forgotten, and in no state and no outcome: whoever shows reasons asks for them.
import type { Reason } from "../../shared/rules/standing.ts";
import { firstWords } from "../../shared/words/say-reason.ts";
import type { Database } from "../platform/index.ts";
import { partsAwaited, readNotes } from "./note-store.ts";

/** Adds to reasons the words of defects that name no item, and the parts for which defects wait. */
export type InWords = (reasons: readonly Reason[]) => readonly Reason[];
export const withoutWords: InWords = (reasons) => reasons;

type About = Pick<Reason, "defectId" | "itemId" | "expectedDay">;

/** Reads the words that these reasons need; nothing is read where each names its item and none waits for a part. */
export async function wordsFor(db: Pick<Database, "rows">, reasons: readonly About[]): Promise<InWords> {
  const wanted = defectsOf(reasons, isNameless);
  const waiting = defectsOf(reasons, isWaiting);
  if (wanted.length + waiting.length === 0) return withoutWords;
  const [notes, parts] = await Promise.all([readNotes(db, wanted), partsAwaited(db, waiting)]);
  return (told) =>
    told.map((reason) => {
      const note = isNameless(reason) ? notes.get(reason.defectId ?? "") : undefined;
      const part = isWaiting(reason) ? parts.get(reason.defectId ?? "") : undefined;
      return {
        ...reason,
        ...(note === undefined ? {} : { words: firstWords(note) }),
        ...(part === undefined ? {} : { part: firstWords(part) }),
      };
    });
}

const isNameless = ({ itemId }: About): boolean => itemId === null;
const isWaiting = ({ expectedDay }: About): boolean => expectedDay !== undefined;

const defectsOf = (reasons: readonly About[], which: (about: About) => boolean): string[] => [
  ...new Set(reasons.flatMap((reason) => (which(reason) && reason.defectId !== undefined ? [reason.defectId] : []))),
];

/** The same for an act that is stored already: where the words cannot be read, it is answered without them. */
export const wordsIfRead = (db: Pick<Database, "rows">, reasons: readonly About[]): Promise<InWords> =>
  wordsFor(db, reasons).catch(() => withoutWords);
