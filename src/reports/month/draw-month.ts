// The report of a month as a stream of PDF: read, composed and drawn piece by piece, so that a larger month takes more time but hardly more memory.
import type { Readable } from "node:stream";
import type { AppContext } from "../../acts/index.ts";
import { figuresOf } from "../../figures/index.ts";
import { calledIn } from "../../fleet/index.ts";
import type { Kind } from "../../ledger/index.ts";
import { type Block, drawLongPdf, type ReportHead } from "../../pdf/index.ts";
import { coursesFrom } from "../collect-courses.ts";
import { type Phrases, phrasesFor } from "../phrases.ts";
import { type DepotRow, readCourses } from "../store.ts";
import { groundOf, type MachineDays, machineDaysOf } from "./collect-days.ts";
import {
  checkBlocks,
  closingBlocks,
  coverBlocks,
  dayBlocks,
  dayTotals,
  defectBlocks,
  defectHeading,
  entryBlocks,
  entryLists,
  inspectionBlocks,
  type MonthFacts,
  monthHead,
  ruleBlocks,
} from "./compose-month.ts";
import type { MonthScope } from "./month-scope.ts";
import { countKinds, type DefectPlace, readDefectsAfter, streamChecks, streamClosings, streamInspections } from "./month-store.ts";
import { recordsOfMonth } from "./record-store.ts";

/**
 * Draws everything that a month holds: cover, machines by day, checks, defects with their course, inspections, sign-offs, and the lists of
 * other entries. An error destroys the stream; destroying the stream ends the reading. Holds one connection of the database at a time.
 */
export function drawMonth(context: AppContext, scope: MonthScope): Readable {
  const { head, blocks } = monthReport(context, scope);
  return drawLongPdf(head, blocks);
}

/** The report before it is drawn: its blocks are read from the database as they are drawn, and can be read only once. */
export const monthReport = (
  context: AppContext,
  scope: MonthScope,
): { readonly head: ReportHead; readonly blocks: AsyncGenerator<Block> } => ({
  head: monthHead(phrasesFor(scope.frame), scope),
  blocks: monthBlocks(context, scope),
});

async function* monthBlocks(context: AppContext, scope: MonthScope): AsyncGenerator<Block> {
  const { db } = context;
  const { frame, depots, spans, month } = scope;
  const phrases = phrasesFor(frame);
  const ground = await groundOf(context, scope);
  // Only the verdict on each day of each machine is kept in memory, since both the cover and the grid need it.
  const machines = new Map<string, MachineDays[]>();
  for (const depot of depots) machines.set(depot.id, await machineDaysOf(context, scope, depot, ground));
  yield* coverBlocks(phrases, await factsOf(context, scope, [...machines.values()].flat()));
  yield* ruleBlocks(phrases);
  // Times in a depot's part are in its own time zone, which is named if there are several.
  const parts = depots.flatMap((depot) => {
    const span = spans.ofDepots.get(depot.id);
    return span ? [{ depot, span, own: phrasesFor({ ...frame, timeZone: depot.timeZone }) }] : [];
  });
  for (const { depot, own } of parts) yield* dayBlocks(own, depot.name, month, machines.get(depot.id) ?? []);
  for (const { depot, span, own } of parts) yield* checkBlocks(own, depot.name, streamChecks(db, depot.id, span));
  for (const { depot, own } of parts) yield* defectsOf(context, scope, depot, own);
  for (const { depot, span, own } of parts) yield* inspectionBlocks(own, depot.name, streamInspections(db, depot.id, span));
  for (const { depot, span, own } of parts) yield* closingBlocks(own, depot.name, streamClosings(db, depot.id, span));
  const called = await calledIn(db, null);
  const zones = new Map(parts.map(({ depot, own }) => [depot.timeZone, own]));
  const phrasesOf = (timeZone: string | null): Phrases => (timeZone === null ? phrases : (zones.get(timeZone) ?? phrases));
  for (const list of entryLists) yield* entryBlocks(phrasesOf, list, recordsOfMonth(db, scope, list.kinds), called);
}

async function factsOf(
  { db }: AppContext,
  { frame, depots, month, period, spans }: MonthScope,
  machines: readonly MachineDays[],
): Promise<MonthFacts> {
  const counts = [await countKinds(db, null, spans.firm)];
  for (const { id } of depots) counts.push(await countKinds(db, id, spans.ofDepots.get(id) ?? spans.firm));
  const entries = new Map<Kind, number>();
  for (const { kind, count } of counts.flat()) entries.set(kind, (entries.get(kind) ?? 0) + count);
  return {
    ...{ frame, month, entries, days: dayTotals(machines) },
    figures: await figuresOf(db, { depots, periods: [period], now: frame.printedAt }),
    isOver: [spans.firm, ...spans.ofDepots.values()].every(({ ends }) => ends <= frame.printedAt),
    machines: new Set(machines.map(({ registrationMark }) => registrationMark)).size,
  };
}

const defectsAtOnce = 50;

async function* defectsOf(context: AppContext, { frame, spans }: MonthScope, depot: DepotRow, phrases: Phrases): AsyncGenerator<Block> {
  const { db } = context;
  const span = spans.ofDepots.get(depot.id);
  if (!span) return;
  yield* defectHeading(phrases, depot.name);
  let after: DefectPlace | null = null;
  for (;;) {
    const places: DefectPlace[] = await readDefectsAfter(db, depot.id, span, after, defectsAtOnce);
    if (after === null && places.length === 0) yield { kind: "paragraph", text: phrases.say("pack.defects.none"), tone: "quiet" };
    const rows = await readCourses(
      db,
      places.map(({ id }) => id),
      null,
    );
    const courses = await coursesFrom(db, rows, { now: frame.printedAt, at: null, language: frame.language, ofDepots: false });
    const course = new Map(courses.map((one) => [one.id, one]));
    for (const { id } of places) {
      const defect = course.get(id);
      if (defect) yield* defectBlocks(phrases, defect);
    }
    after = places.at(-1) ?? null;
    if (places.length < defectsAtOnce || after === null) return;
  }
}
