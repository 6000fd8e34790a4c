// The falls and collisions of a machine that its report tells of.
import { readAs } from "../../../shared/records/index.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import type { Language } from "../../../shared/words/index.ts";
import { sayBent, sayHit } from "../../../shared/words/say-fall.ts";
import type { AppContext, MachineFacts, Moment } from "../../acts/index.ts";
import { readFallsOf } from "../../defects/index.ts";
import { namesOf } from "../../people/index.ts";
import type { Period } from "../../platform/index.ts";
import { personIn } from "../collect-frame.ts";
import type { FallOnReport } from "../roadworthiness-facts.ts";

/** Those of the period, and those before it after which nobody had inspected the machine when it began. */
export async function collectFalls(
  { db }: Pick<AppContext, "db">,
  { machine, depot }: MachineFacts,
  { from, to }: Period,
  at: Moment,
  language: Language,
): Promise<FallOnReport[]> {
  const dayOf = (moment: Date): string => localDay(moment, depot.timeZone);
  const rows = (await readFallsOf(db, machine.id, at)).filter(({ performedAt, inspection }) => {
    const fell = dayOf(performedAt);
    return fell <= to && (fell >= from || inspection === null || dayOf(new Date(inspection.performedAt)) >= from);
  });
  const people = await namesOf(
    db,
    rows.flatMap(({ staffId, inspection }) => (inspection === null ? [staffId] : [staffId, inspection.staffId])),
  );
  return rows.map((row) => {
    const told = readAs(["machine-fell"], row)?.data.submitted;
    const { inspection } = row;
    return {
      at: row.performedAt,
      by: personIn(people, row.staffId),
      told: told
        ? {
            hit: sayHit(told.hit, language),
            bent: (told.bent ?? []).map((part) => sayBent(part, language)),
            note: told.note ?? null,
          }
        : null,
      inspection: inspection && { at: new Date(inspection.performedAt), by: personIn(people, inspection.staffId) },
    };
  });
}
