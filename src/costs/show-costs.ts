import type { CostLine, CostsAnswer, CostsQuery } from "../../shared/contracts/costs.ts";
import { groupBy } from "../../shared/group-by.ts";
import { endOfDay, startOfDay } from "../../shared/rules/calendar.ts";
import { type Costs, costsOf, isAtLeast, type PriceBook, perThousandKm, together, type Work } from "../../shared/rules/costs.ts";
import type { AppContext } from "../acts/index.ts";
import { serviceSpans } from "../figures/index.ts";
import { readMachineEntries } from "../fleet/index.ts";
import { toldOf, workAtDepots } from "../parts/index.ts";
import { latestDay, noDepot, periodAsked, type View } from "../platform/index.ts";
import { priceBookFor } from "./price-book.ts";
import { kmRidden, type Span } from "./ridden.ts";
import { type MachineRow, readDepots, readMachines, readOdometers, readRenewed } from "./store.ts";

/** Four weeks hold each weekday as often as any other. */
const usualDays = 28;
/** Readings on both sides of a period tell how far a machine was ridden at its ends. */
const marginMs = 7 * 86_400_000;

/** One machine's costs in a period, with how far it was ridden there. */
interface OfMachine {
  readonly machine: MachineRow;
  readonly costs: Costs;
  readonly km: number | null;
}

/**
 * What machines cost while they were at the depots in view, in a period of days by each depot's calendar: the dearest first. Throws `not-found`,
 * `period-not-valid`.
 */
export async function showCosts(context: AppContext, { depotIds, asked: depotId }: View, query: CostsQuery): Promise<CostsAnswer> {
  const { db, clock } = context;
  const now = clock.now();
  const depots = await readDepots(db, depotIds);
  if (depotId !== undefined && depots.length === 0) throw noDepot();
  const zones = depots.map(({ timeZone }) => timeZone);
  const period = periodAsked(query, latestDay(now, zones), usualDays);
  const spans = new Map<string, Span[]>();
  for await (const { machineId, starts, ends } of serviceSpans(db, { depots, periods: [period], now })) {
    const known = spans.get(machineId) ?? [];
    const last = known.at(-1);
    spans.set(machineId, last?.ends === starts ? [...known.slice(0, -1), { starts: last.starts, ends }] : [...known, { starts, ends }]);
  }
  const reach = {
    from: new Date(Math.min(now.getTime(), ...zones.map((zone) => startOfDay(period.from, zone).getTime()))),
    to: new Date(Math.max(now.getTime(), ...zones.map((zone) => endOfDay(period.to, zone).getTime()))),
  };
  const work = (
    await workAtDepots(
      db,
      depots.map(({ id }) => id),
      reach.from,
      reach.to,
    )
  )
    .map(toldOf)
    .filter(({ day }) => day >= period.from && day <= period.to);
  const book = await priceBookFor(context, work);
  const machineIds = [...new Set([...spans.keys(), ...work.map(({ machineId }) => machineId)])];
  const lines = await machineLines(context, machineIds, { spans, work, book, reach, depotIds });
  const rows = query.by === "machine" ? lines.map((line) => lineOf(nameOfMachine(line), [line])) : byModel(lines);
  return {
    ...{ depotId: depotId ?? null, ...period, by: query.by, currency: book.currency, hourlyRateMinor: book.policy.hourlyRateMinor },
    rows: rows.sort((one, other) => other.totalMinor - one.totalMinor || (one.name < other.name ? -1 : 1)),
    total: lineOf({ id: null, name: "", modelName: null }, lines),
  };
}

interface Read {
  readonly spans: ReadonlyMap<string, readonly Span[]>;
  readonly work: readonly Work[];
  readonly book: PriceBook;
  readonly reach: { readonly from: Date; readonly to: Date };
  readonly depotIds: readonly string[] | null;
}

async function machineLines({ db }: AppContext, machineIds: readonly string[], read: Read): Promise<OfMachine[]> {
  const { spans, work, book, reach, depotIds } = read;
  const wide = { from: new Date(reach.from.getTime() - marginMs), to: new Date(reach.to.getTime() + marginMs) };
  const [machines, readings, entries, renewed] = await Promise.all([
    readMachines(db, machineIds),
    readOdometers(db, machineIds, wide.from, wide.to),
    readMachineEntries(db, machineIds, null),
    readRenewed(db, machineIds, { ...reach, depotIds }),
  ]);
  const of = {
    work: groupBy(work, ({ machineId }) => machineId),
    readings: groupBy(readings, ({ machineId }) => machineId),
    entries: groupBy(entries, ({ machineId }) => machineId),
  };
  return machines.map((machine) => ({
    machine,
    costs: costsOf(of.work.get(machine.id) ?? [], book, renewed.get(machine.id) ?? 0),
    km: kmRidden(of.readings.get(machine.id) ?? [], of.entries.get(machine.id) ?? [], spans.get(machine.id) ?? []),
  }));
}

const nameOfMachine = ({ machine }: OfMachine) => ({ id: machine.id, name: machine.registrationMark, modelName: machine.modelName });

const byModel = (lines: readonly OfMachine[]): CostLine[] =>
  [...groupBy(lines, ({ machine }) => machine.modelId)].map(([id, ofModel]) =>
    lineOf({ id, name: ofModel[0]?.machine.modelName ?? "", modelName: null }, ofModel),
  );

/** One line of the answer: what these machines cost together, and by distance of those whose distance is known. */
function lineOf(named: Pick<CostLine, "id" | "name" | "modelName">, lines: readonly OfMachine[]): CostLine {
  const costs = together(lines.map((line) => line.costs));
  const ridden = lines.filter(({ km }) => km !== null);
  const km = ridden.length === 0 ? null : ridden.reduce((sum, line) => sum + (line.km ?? 0), 0);
  const perDistance = perThousandKm(together(ridden.map((line) => line.costs)).totalMinor, km);
  return {
    ...named,
    ...{ machines: lines.length, machinesWithoutKm: lines.length - ridden.length },
    ...costs,
    ...{ isAtLeast: isAtLeast(costs), km: km === null ? null : Math.round(km), perThousandKmMinor: perDistance },
  };
}
