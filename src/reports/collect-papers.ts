// The facts about papers (insurance, tax, test, registration): those of one machine, and those of many machines at a moment.
import { groupBy } from "../../shared/group-by.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { heldOn } from "../../shared/rules/papers.ts";
import { type Language, wordByKey } from "../../shared/words/index.ts";
import { namesOf } from "../people/index.ts";
import type { Database } from "../platform/index.ts";
import { personIn } from "./collect-frame.ts";
import type { Person } from "./facts.ts";
import type { MachineOnDay, Paper } from "./roadworthiness-facts.ts";
import { type PaperOfMachine, readPaperEndings } from "./store.ts";

const nameOf = (kind: string, language: Language): string => wordByKey(`paper-kind.${kind}`, language);

/** A paper as reports show it. */
export function paperFrom(
  { kind, number, validFrom, validTo, ending }: PaperOfMachine,
  people: ReadonlyMap<string, Person>,
  language: Language,
): Paper {
  const paper = { kindName: nameOf(kind, language), number, validFrom, validTo };
  if (ending === null) return paper;
  const { day, reason, note, staffId, recordedAt } = ending;
  return { ...paper, ending: { day, reason, note, by: personIn(people, staffId), at: new Date(recordedAt) } };
}

/** How the papers of a machine stand on a day, by kind. */
export const papersOnDay = ({ papers }: MachineState, day: string, language: Language): MachineOnDay["papers"] =>
  [...papers]
    .sort((one, other) => (one.kind < other.kind ? -1 : 1))
    .map((held) => ({ kindName: nameOf(held.kind, language), ...heldOn(held, day) }));

/** The fleet's report shows an ending for this many days; the machine's own report shows it for ever. */
const toldForDays = 31;

/** The papers whose ending was recorded in the last `toldForDays` days, by machine. */
export async function endingsOfLate(
  db: Database,
  machineIds: readonly string[],
  at: Date,
  timeZone: string,
  language: Language,
): Promise<ReadonlyMap<string, MachineOnDay["endings"]>> {
  const rows = await readPaperEndings(db, machineIds, addDays(localDay(at, timeZone), -toldForDays), at);
  const people = await namesOf(
    db,
    rows.flatMap(({ ending }) => ending?.staffId ?? []),
  );
  const endingsIn = (own: readonly PaperOfMachine[]): MachineOnDay["endings"] =>
    own.flatMap((row) => {
      const { ending, ...paper } = paperFrom(row, people, language);
      return ending ? [{ ...paper, ending }] : [];
    });
  return new Map([...groupBy(rows, ({ machineId }) => machineId)].map(([machineId, own]) => [machineId, endingsIn(own)]));
}
