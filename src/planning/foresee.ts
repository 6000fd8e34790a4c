// Everything that is forecast of one machine from its records: its daily distance, what wears, its oil and its services.

import { itemById } from "../../shared/catalogue/sheet.ts";
import { limitFor } from "../../shared/rules/as-new.ts";
import { addDays, daysBetween, localDay } from "../../shared/rules/calendar.ts";
import type { DueAtItem } from "../../shared/rules/engine.ts";
import type { JudgedMachine } from "../../shared/rules/judge-reading.ts";
import { inspectionForcedBy, type MachineState } from "../../shared/rules/machine-state.ts";
import { intervalAt, runsSince, servicesAt } from "../../shared/rules/services.ts";
import { type DepotRules, inspectionDueDay } from "../../shared/rules/standing.ts";
import { oilAt } from "../../shared/rules/weekly-inspection.ts";
import type { WithdrawnSpan } from "../../shared/rules/withdrawn-spans.ts";
import { type DailyUse, type DistancePoint, dailyUse, distanceAt, distanceRidden, type OdometerSight } from "./distance.ts";
import { type Forecast, forecast, type Outlook } from "./forecast.ts";
import { renewedPart } from "./renewal.ts";
import { factsOf, type Renewal, stretchesOf, type WearingQuantity, type WearReading, wearingQuantities, wearValue } from "./stretches.ts";

/** What the records say about one machine, each list in the order of time; instants are ISO, in UTC. */
export interface WearRecords {
  readonly inspections: readonly {
    readonly at: string;
    readonly odometerKm: number;
    readonly flags: readonly string[];
    readonly readings: readonly {
      readonly itemId: string;
      readonly asFound: number | null;
      readonly asLeft: number | null;
      readonly replaced: boolean;
    }[];
  }[];
  /** repairs of measured items; `reading` was taken after the work */
  readonly repairs: readonly {
    readonly at: string;
    readonly quantity: WearingQuantity;
    readonly itemId: string | null;
    readonly observationIds: readonly string[];
    readonly parts: number;
    readonly reading: number | null;
  }[];
  /** readings that closed a defect of a measured item; `repairedAt`: the repair after which it is the first reading, null if there is none */
  readonly closings: readonly {
    readonly at: string;
    readonly quantity: WearingQuantity;
    readonly reading: number;
    readonly repairedAt: string | null;
  }[];
  /** daily checks of the last weeks whose odometer was not flagged */
  readonly checks: readonly { readonly at: string; readonly odometerKm: number }[];
  readonly added: { readonly at: string; readonly odometerKm: number };
  readonly odometerSet: readonly { readonly at: string; readonly fromKm: number; readonly toKm: number }[];
  /** when it was withdrawn */
  readonly away: readonly WithdrawnSpan<string>[];
}

export interface ForeseenMachine extends JudgedMachine {
  readonly state: MachineState;
  readonly depotRules: DepotRules;
}

export interface DueForecast extends DueAtItem {
  readonly since: string;
  readonly kmSince: number;
  /** by distance or by days, whichever comes first; null if neither is known */
  readonly dueDay: string | null;
  /** days from one change to the next, whichever comes first */
  readonly everyDays: number | null;
}

export interface Foreseen {
  readonly today: string;
  readonly use: DailyUse;
  readonly nextInspectionDay: string;
  readonly forecasts: readonly (Forecast & { readonly renewals: readonly (Renewal & { readonly odometerKm: number })[] })[];
  readonly oil: DueForecast | null;
  /** what else the handbook has renewed or set by an interval */
  readonly services: readonly DueForecast[];
}

const oddOdometer: readonly string[] = ["odometer-backwards", "odometer-jump"];

function sightsOf({ inspections, checks, added, odometerSet }: WearRecords): OdometerSight[] {
  const sane = inspections.filter(({ flags }) => !flags.some((flag) => oddOdometer.includes(flag)));
  const reads = [added, ...sane, ...checks].map(({ at, odometerKm }): OdometerSight => ({ kind: "read", at, odometerKm }));
  const sets = odometerSet.map((set): OdometerSight => ({ kind: "set", ...set }));
  const order = (one: OdometerSight): string => `${one.at} ${one.kind}`;
  return [...reads, ...sets].sort((one, other) => (order(one) < order(other) ? -1 : 1));
}

function readingsOf(quantity: WearingQuantity, machine: JudgedMachine, { inspections, repairs, closings }: WearRecords): WearReading[] {
  const { itemId, adjustable, gaugeError, goes } = factsOf(quantity);
  const worth = (reading: number | null): number | null => (reading === null ? null : wearValue(quantity, reading, machine.handbook));
  const measured = inspections.flatMap(({ at, readings }): WearReading[] => {
    const here = readings.find((reading) => reading.itemId === itemId);
    if (!here) return [];
    return [{ at, asFound: worth(here.asFound), asLeft: worth(here.asLeft), renewed: here.replaced }];
  });
  const closed = closings.filter((closing) => closing.quantity === quantity);
  const mended = repairs
    .filter((repair) => repair.quantity === quantity)
    .map(({ at, parts, reading, observationIds, ...repair }): WearReading => {
      const after = reading ?? closed.find(({ repairedAt }) => repairedAt === at)?.reading ?? null;
      // A part that is measured after the work shows by itself whether it is new. A cable or lever shows nothing: it is adjusted with any part.
      const told = renewedPart(
        { quantity, parts, ownItem: repair.itemId === itemId, observationIds, before: null, after: null },
        machine.handbook,
      );
      return { at, asFound: null, asLeft: worth(reading), renewed: adjustable ? parts > 0 : after === null && told };
    });
  const ended = closed.map(({ at, reading, repairedAt }): WearReading => {
    const value = worth(reading);
    // The first reading after work that nobody measured says how it was left; any other says how it was found.
    return repairedAt === null
      ? { at, asFound: value, asLeft: null, renewed: false }
      : { at, asFound: null, asLeft: value, renewed: false };
  });
  const all = [...measured, ...mended, ...ended].sort((one, other) => (one.at < other.at ? -1 : 1));
  // A chain that measures shorter than new, by more than the gauge's error, was miscounted: that reading says nothing about wear.
  const isMiscount = (value: number | null): boolean =>
    quantity === "chain-length" && goes === "up" && value !== null && value < -gaugeError;
  return all.filter(({ asFound, asLeft }) => !isMiscount(asFound) && !isMiscount(asLeft));
}

/** What the odometer showed at an instant: its last reading, plus what was ridden since. */
function odometerAt(sights: readonly OdometerSight[], ridden: readonly DistancePoint[], at: string): number {
  const sight = sights.findLast((one) => one.at <= at) ?? sights[0];
  if (!sight) return 0;
  const shown = sight.kind === "read" ? sight.odometerKm : sight.toKm;
  return Math.max(0, Math.round(shown + distanceAt(ridden, at) - distanceAt(ridden, sight.at)));
}

/** Forecasts one machine at `now`. */
export function foresee(machine: ForeseenMachine, records: WearRecords, now: Date): Foreseen {
  const { state, depotRules } = machine;
  const today = localDay(now, depotRules.timeZone);
  const sights = sightsOf(records);
  const ridden = distanceRidden(sights);
  const use = dailyUse(ridden, records.away, now);
  const every = depotRules.policy.inspectionEveryDays;
  const due = inspectionForcedBy(state) === null ? inspectionDueDay(state, depotRules) : null;
  const nextInspectionDay = due !== null && due > today ? due : addDays(today, every);
  const outlook: Outlook = {
    today,
    nextInspectionInDays: daysBetween(today, nextInspectionDay),
    inspectionEveryDays: every,
    riddenKm: ridden.at(-1)?.km ?? 0,
    kmPerDay: use.kmPerDay,
  };
  const forecasts = wearingQuantities
    .filter((quantity) => itemById(factsOf(quantity).itemId)?.applies(machine.features) === true)
    .map((quantity) => {
      const { open, renewals } = stretchesOf(quantity, readingsOf(quantity, machine, records), ridden);
      return {
        ...forecast(quantity, open, limitFor(quantity, machine), outlook),
        renewals: renewals.map((one) => ({ ...one, odometerKm: odometerAt(sights, ridden, one.at) })),
      };
    });
  const oil = oilAt(machine, now);
  const dueOn = (at: DueAtItem, since: Since, every: Interval = {}) => dueForecast(at, since, every, { machine, use, today });
  return {
    ...{ today, use, nextInspectionDay, forecasts },
    oil: oil && dueOn(oil, state.oil, machine.handbook.oilChange),
    services: servicesAt(machine, now).map((at) => dueOn(at, runsSince(at.itemId, state), intervalAt(at.itemId, machine.handbook))),
  };
}

type Since = { readonly km: number; readonly at: string };
type Interval = NonNullable<ForeseenMachine["handbook"]["oilChange"]>;

interface DueOf {
  readonly machine: ForeseenMachine;
  readonly use: DailyUse;
  readonly today: string;
}

function dueForecast(due: DueAtItem, since: Since, interval: Interval, { machine: { state }, use, today }: DueOf): DueForecast {
  const { kmPerDay } = use;
  const { kmLeft, daysLeft } = due;
  const byDays = daysLeft === null ? null : addDays(today, daysLeft);
  const inDays = kmLeft === null ? null : kmLeft <= 0 ? 0 : daysFor(kmLeft, kmPerDay);
  const byKm = inDays === null ? null : addDays(today, inDays);
  const [dueDay = null] = [byDays, byKm].filter((day) => day !== null).sort();
  const untilNext = interval.everyKm === undefined ? null : daysFor(interval.everyKm, kmPerDay);
  const [everyDays = null] = [interval.everyDays ?? null, untilNext].filter((days) => days !== null).sort((one, other) => one - other);
  return { ...due, since: since.at, kmSince: state.odometerKm - since.km, dueDay, everyDays };
}

/** Whole days that a distance takes, at least one; null if the machine is not ridden or it takes more than ten years. */
const daysFor = (km: number, kmPerDay: number | null): number | null =>
  kmPerDay === null || kmPerDay === 0 || km / kmPerDay > 3650 ? null : Math.max(1, Math.floor(km / kmPerDay));
