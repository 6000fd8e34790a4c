// Collects the days of a month, machine by machine, or of one machine: turns rows into the facts that completeness.ts judges, a page of machines at a time.

import type { DayVerdict } from "../../../shared/contracts/reports.ts";
import { groupBy } from "../../../shared/group-by.ts";
import { addDays, endOfDay, localDay, startOfDay } from "../../../shared/rules/calendar.ts";
import { disposedSpans, withdrawnSpans } from "../../../shared/rules/withdrawn-spans.ts";
import type { AppContext, MachineFacts, Moment } from "../../acts/index.ts";
import { serviceSpans } from "../../figures/index.ts";
import { type MachineEntry, odometerByHand, readMachineEntries } from "../../fleet/index.ts";
import { distanceRidden, type OdometerSight } from "../../planning/index.ts";
import type { Database, Period } from "../../platform/index.ts";
import type { DayJudged } from "../roadworthiness-facts.ts";
import { type DepotRow, readDepots } from "../store.ts";
import { judgeDays, type MachineMonth, type Stretch, usualDayKm } from "./completeness.ts";
import type { MonthScope, Span } from "./month-scope.ts";
import {
  type LookRow,
  type MonthMachineRow,
  type MoveRow,
  placeOf,
  readLooks,
  readMachinesAfter,
  readMoves,
  readPlausibleKm,
} from "./month-store.ts";

export interface MachineDays {
  readonly machineId: string;
  readonly registrationMark: string;
  readonly modelName: string;
  /** of the days of the period, in order */
  readonly verdicts: readonly DayVerdict[];
}

const pageSize = 50;
const machineOf = ({ machineId }: { readonly machineId: string }): string => machineId;
const always: readonly Stretch[] = [{ from: null, to: null }];
/** How far back before the month a machine's usual daily distance is learned from. */
const learnMs = 60 * 86_400_000;

/** What is the same for every depot of a month: which machines moved, and the distance that no machine goes in a day. */
export interface MonthGround {
  readonly moves: ReadonlyMap<string, readonly MoveRow[]>;
  readonly plausibleKm: number;
}

export async function groundOf({ db }: AppContext, { spans }: MonthScope): Promise<MonthGround> {
  const since = new Date(Math.min(...[spans.firm, ...spans.ofDepots.values()].map(({ starts }) => starts.getTime())));
  return { moves: groupBy(await readMoves(db, since), machineOf), plausibleKm: await readPlausibleKm(db) };
}

/** Every machine that was at the depot in its month, by mark, with its days judged: read by pages, and only the verdicts are kept. */
export async function machineDaysOf(context: AppContext, scope: MonthScope, depot: DepotRow, ground: MonthGround): Promise<MachineDays[]> {
  const judged: MachineDays[] = [];
  for (let after: string | null = ""; after !== null; ) {
    const page: MachineDaysPage = await machineDaysAfter(context, scope, depot, ground, after);
    judged.push(...page.judged);
    after = page.next;
  }
  return judged;
}

export interface MachineDaysPage {
  readonly judged: readonly MachineDays[];
  /** the place after which the next page begins; null at the end */
  readonly next: string | null;
}

/** One page of these machines: those after a place. */
export async function machineDaysAfter(
  context: AppContext,
  scope: MonthScope,
  depot: DepotRow,
  ground: MonthGround,
  after: string,
): Promise<MachineDaysPage> {
  const span = scope.spans.ofDepots.get(depot.id);
  if (!span) return { judged: [], next: null };
  const moved = [...ground.moves].flatMap(([id, moves]) => (moves.some(({ fromDepotId }) => fromDepotId === depot.id) ? [id] : []));
  const machines = await readMachinesAfter(context.db, { depotId: depot.id, moved, after, limit: pageSize, since: span.starts });
  const judged = await judgePage(context, scope, depot, span, ground, machines);
  const last = machines.at(-1);
  return { judged, next: machines.length < pageSize || !last ? null : placeOf(last) };
}

async function judgePage(
  { db, clock }: AppContext,
  { period }: MonthScope,
  depot: DepotRow,
  span: Span,
  ground: MonthGround,
  machines: readonly MonthMachineRow[],
): Promise<MachineDays[]> {
  const rowsOf = await readRows(
    db,
    machines.map(({ id }) => id),
    { span, period, depots: [depot], now: clock.now(), at: null },
  );
  return machines.flatMap((machine) => {
    const here = herePeriods(depot.id, ground.moves.get(machine.id) ?? []);
    if (!here.some(({ from, to }) => (from === null || from < span.ends) && (to === null || to > span.starts))) return [];
    const { inServiceFrom, enteredAt } = machine;
    const verdicts = judged(rowsOf(machine.id), {
      ...{ period, timeZone: depot.timeZone, now: clock.now(), plausibleKm: ground.plausibleKm, inServiceFrom, enteredAt, here },
    }).map(({ verdict }) => verdict);
    const isHere = verdicts.some((verdict) => verdict !== "outside") || localDay(machine.enteredAt, depot.timeZone) <= period.to;
    return isHere ? [{ machineId: machine.id, registrationMark: machine.registrationMark, modelName: machine.modelName, verdicts }] : [];
  });
}

/** The days of one machine over a period, wherever it was then, as the records had it at the moment. */
export async function daysOfMachine({ db, clock }: AppContext, facts: MachineFacts, period: Period, at: Moment): Promise<DayJudged[]> {
  const { id, inServiceFrom } = facts.machine;
  const { timeZone } = facts.depot;
  const span = { starts: startOfDay(period.from, timeZone), ends: endOfDay(period.to, timeZone) };
  const now = at ?? clock.now();
  const rows = (await readRows(db, [id], { span, period, depots: await readDepots(db, null), now, at }))(id);
  return judged(rows, {
    ...{ period, timeZone, now, plausibleKm: facts.policy.plausibleKmPerDay, inServiceFrom, here: always },
    enteredAt: rows.entries.find(({ kind }) => kind === "machine-added")?.at ?? now,
  });
}

interface Rows {
  readonly looks: readonly LookRow[];
  readonly entries: readonly MachineEntry[];
  /** as the board had it */
  readonly grounded: readonly Stretch[];
}

interface RowsAsked {
  readonly span: Span;
  readonly period: Period;
  /** those at which the machines are asked about */
  readonly depots: readonly DepotRow[];
  readonly now: Date;
  readonly at: Moment;
}

async function readRows(
  db: Database,
  machineIds: readonly string[],
  { span, period, depots, now, at }: RowsAsked,
): Promise<(machineId: string) => Rows> {
  const [looks, entries, grounded] = await Promise.all([
    readLooks(db, machineIds, { starts: new Date(span.starts.getTime() - learnMs), ends: span.ends }, at),
    readMachineEntries(db, machineIds, at),
    groundedOf(db, machineIds, { period, depots, now, at }),
  ]);
  const of = { looks: groupBy(looks, machineOf), entries: groupBy(entries, machineOf) };
  return (id) => ({ looks: of.looks.get(id) ?? [], entries: of.entries.get(id) ?? [], grounded: grounded.get(id) ?? [] });
}

type Asked = Omit<MachineMonth, "checks" | "points" | "withdrawn" | "disposed" | "grounded" | "usualKm">;

function judged({ looks, entries, grounded }: Rows, asked: Asked): DayJudged[] {
  const points = distanceRidden(sightsOf(looks, entries));
  const checks = looks.filter(({ isCheck }) => isCheck);
  const usualKm = usualDayKm(checks, points, asked.timeZone);
  return judgeDays({ ...asked, checks, points, usualKm, withdrawn: withdrawnSpans(entries), disposed: disposedSpans(entries), grounded });
}

/** Looks and settings of the odometer, in the order of time. */
function sightsOf(looks: readonly LookRow[], entries: readonly MachineEntry[]): OdometerSight[] {
  const { added, set } = odometerByHand(entries);
  const sights: OdometerSight[] = [
    ...looks.flatMap(({ at, odometerKm, doubted }) => (doubted ? [] : [{ kind: "read" as const, at: at.toISOString(), odometerKm }])),
    ...(added ? [{ kind: "read" as const, ...added }] : []),
    ...set.map((turned) => ({ kind: "set" as const, ...turned })),
  ];
  return sights.sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
}

/** When the board had these machines grounded: whole stretches, although they were counted day by day. */
async function groundedOf(
  db: Database,
  machineIds: readonly string[],
  { period, depots, now, at }: Omit<RowsAsked, "span">,
): Promise<Map<string, Stretch[]>> {
  const stretches = new Map<string, Stretch[]>();
  // A day more at either end, since days at another depot begin and end at another hour.
  const around = { from: addDays(period.from, -1), to: addDays(period.to, 1) };
  for await (const { machineId, service, starts, ends } of serviceSpans(db, { depots, periods: [around], now, at, machineIds })) {
    if (service !== "grounded") continue;
    const known = stretches.get(machineId) ?? [];
    const last = known.at(-1);
    if (last?.to?.getTime() === starts) known[known.length - 1] = { from: last.from, to: new Date(ends) };
    else known.push({ from: new Date(starts), to: new Date(ends) });
    stretches.set(machineId, known);
  }
  return stretches;
}

/** When a machine was at a depot, from its moves since the month began; a machine without one is where it was found. */
function herePeriods(depotId: string, moves: readonly MoveRow[]): readonly Stretch[] {
  const [first] = moves;
  if (!first) return always;
  const places = [{ depotId: first.fromDepotId, from: null }, ...moves.map(({ toDepotId, at }) => ({ depotId: toDepotId, from: at }))];
  return places.flatMap((place, index) => (place.depotId === depotId ? [{ from: place.from, to: places[index + 1]?.from ?? null }] : []));
}
