// A walk round one machine, as far as it is done, and the check that is made from it. Pure: the pages and the tests call the same functions.

import { readOnWalkAt } from "../../../shared/catalogue/proof.ts";
import { itemById, itemOfTheDay, itemsFor, mayPutRight, proofFor, SHEET_VERSION, takesReading } from "../../../shared/catalogue/sheet.ts";
import { stations } from "../../../shared/catalogue/stations.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { DailyAnswer, DailyCheckBody } from "../../../shared/contracts/checks.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Features } from "../../../shared/contracts/machine-model.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { type CheckedMachine, type JudgedDailyCheck, judgeDailyCheck } from "../../../shared/rules/daily-check.ts";
import { oddOnWalk } from "../../../shared/rules/proof-reading.ts";
import type { CheckingRider } from "../../../shared/rules/rider.ts";
import { newId } from "../frame/new-id.ts";

/** What is not right at an item. */
export interface Found {
  readonly observationIds: readonly string[];
  readonly note: string;
  readonly photoIds: readonly string[];
  /** the rider says that it is put right; absent in a walk that was begun by an earlier version of the page */
  readonly putRight?: boolean;
  /** taken after that */
  readonly reading?: { readonly value: number; readonly unit: Unit; readonly readTwice?: boolean } | null;
}

export const foundNothing: Found = { observationIds: [], note: "", photoIds: [] };

export const isNothing = (found: Found | null): found is null =>
  found === null || (found.observationIds.length === 0 && found.note.trim() === "" && found.photoIds.length === 0);

export interface Walk {
  /** the id that the check will have: sent again, it is the same check */
  readonly id: string;
  readonly staffId: string;
  readonly machineId: string;
  /** by the clock of the service */
  readonly begunAt: string;
  /** time that the walk was on the screen, in milliseconds */
  readonly spentMs: number;
  readonly sheetVersion: string;
  readonly found: Readonly<Record<string, Found>>;
  /** stations that the rider has answered */
  readonly done: readonly string[];
  /** the item of the day was asked by itself, and is well */
  readonly dayItemWell: boolean;
  readonly odometerKm: number | null;
  readonly proofValue: number | null;
  /** of the gauge at hand; null: the one that is asked for */
  readonly proofUnit: Unit | null;
  readonly proofLoad: "solo" | "laden";
  /** the last known odometer was looked at and is right */
  readonly odometerSeen: boolean;
  /** figures that the rider has confirmed when asked; a different figure is asked about again */
  readonly sure: readonly string[];
}

/** A figure in the form in which a confirmation is kept. */
export const figureOf = (value: number, unit: Unit): string => `${value} ${unit}`;

/** Nothing was said at any station yet. */
export const isUntouched = ({ done, found }: Walk): boolean => done.length === 0 && Object.keys(found).length === 0;

export interface WalkStation {
  readonly id: string;
  readonly items: readonly Item[];
}

/** The stations of this machine's walk, in order. */
export function stationsOf(features: Features): WalkStation[] {
  const items = itemsFor(features, "daily");
  return stations
    .map(({ id }) => ({ id, items: items.filter((item) => item.stationId === id) }))
    .filter((station) => station.items.length > 0);
}

export const beginWalk = (id: string, staffId: string, machineId: string, now: Date): Walk => ({
  ...{ id, staffId, machineId },
  begunAt: now.toISOString(),
  spentMs: 0,
  sheetVersion: SHEET_VERSION,
  found: {},
  done: [],
  dayItemWell: false,
  odometerKm: null,
  proofValue: null,
  proofUnit: null,
  proofLoad: "solo",
  odometerSeen: false,
  sure: [],
});

// What was well when it was looked at need not be well after a ride, so a walk has to be made in one go.
const longestWalkMs = 60 * 60_000;

/** Whether a walk that was left can be continued: it was begun less than `longestWalkMs` ago, on the same day, and with this page's sheet version. */
export const canGoOn = ({ begunAt, sheetVersion }: Walk, now: Date, timeZone: string): boolean =>
  sheetVersion === SHEET_VERSION &&
  Math.abs(now.getTime() - Date.parse(begunAt)) < longestWalkMs &&
  localDay(new Date(begunAt), timeZone) === localDay(now, timeZone);

/** The item that is asked by itself on this walk: that of the day on which it was begun. */
export const dayItemOf = (walk: Walk, { machineId, features, depotRules }: CheckedMachine): string =>
  itemOfTheDay({ machineId, day: localDay(new Date(walk.begunAt), depotRules.timeZone), features });

/** Whether the item of the day is one of this station's and has no answer of its own yet. */
export const asksByItself = (walk: Walk, { items }: WalkStation, dayItem: string): boolean =>
  items.some(({ id }) => id === dayItem) && !walk.dayItemWell && walk.found[dayItem] === undefined;

/** Whether everything at the station was answered. */
export const isDone = (walk: Walk, station: WalkStation, dayItem: string): boolean =>
  walk.done.includes(station.id) && !asksByItself(walk, station, dayItem);

/** The walk with what was found at an item; `null` takes it back. */
export function withFound(walk: Walk, itemId: string, found: Found | null): Walk {
  const { [itemId]: _, ...others } = walk.found;
  return { ...walk, found: isNothing(found) ? others : { ...others, [itemId]: found } };
}

/** The reading that this machine is asked for on the day of the walk. */
export const proofOf = ({ machineId, features, handbook, depotRules }: CheckedMachine, at: Date) =>
  proofFor({ machineId, day: localDay(at, depotRules.timeZone), features, handbook });

/**
 * Whether what was found counts as put right by what the phone knows: the sheet lets a rider do so, and where it takes a reading, there is one
 * that can be believed. Else it is sent as a defect.
 */
export function countsAsPutRight(found: Found | undefined, itemId: string, machine: CheckedMachine): found is Found {
  if (found?.putRight !== true) return false;
  const item = itemById(itemId);
  if (item === undefined || !mayPutRight(item, found.observationIds)) return false;
  if (!takesReading(item, found.observationIds)) return true;
  const asked = readOnWalkAt(itemId, machine);
  return asked !== null && found.reading != null && oddOnWalk(asked, found.reading) === null;
}

/** The check as it is sent. Every item of an answered station at which nothing was found is well; items of other stations are left out. */
export function bodyOf(walk: Walk, machine: CheckedMachine, performedAt: Date): DailyCheckBody {
  const proof = proofOf(machine, performedAt);
  const dayItem = dayItemOf(walk, machine);
  const odometerKm = walk.odometerKm ?? machine.state.odometerKm;
  const value = proof.quantity === "odometer" ? walk.odometerKm : walk.proofValue;
  return {
    id: walk.id,
    machineId: walk.machineId,
    sheetVersion: walk.sheetVersion,
    performedAt: performedAt.toISOString(),
    durationSeconds: Math.min(Math.round(walk.spentMs / 1000), limits.checkSeconds),
    odometerKm,
    answers: stationsOf(machine.features).flatMap(({ id, items }) =>
      items.flatMap((item): DailyAnswer[] => {
        const found = walk.found[item.id];
        if (!found) return walk.done.includes(id) && (item.id !== dayItem || walk.dayItemWell) ? [{ itemId: item.id, result: "ok" }] : [];
        const note = found.note.trim();
        const isRight = countsAsPutRight(found, item.id, machine);
        return [
          {
            itemId: item.id,
            result: isRight ? "put-right" : "defect",
            ...(isRight && found.reading && takesReading(item, found.observationIds) ? { reading: found.reading } : {}),
            ...(found.observationIds.length > 0 ? { observationIds: [...found.observationIds] } : {}),
            ...(note === "" ? {} : { note }),
            ...(found.photoIds.length > 0 ? { photoIds: [...found.photoIds] } : {}),
          },
        ];
      }),
    ),
    odometerRead: walk.odometerKm !== null || walk.odometerSeen,
    ...(value === null ? {} : { proof: readingOf(walk, value, walk.proofUnit ?? proof.unit) }),
  };
}

const readingOf = ({ sure, proofLoad }: Walk, value: number, unit: Unit): NonNullable<DailyCheckBody["proof"]> => ({
  ...{ value, unit },
  ...(sure.includes(figureOf(value, unit)) ? { readTwice: true } : {}),
  ...(proofLoad === "laden" ? { load: proofLoad } : {}),
});

/** The phone's own verdict, by the same rules as the service's. */
export const judge = (machine: CheckedMachine, body: DailyCheckBody, rider: CheckingRider, now: Date): JudgedDailyCheck =>
  judgeDailyCheck(machine, body, rider, now, newId);

/** Who walks, as the rules see them. */
export const riderOf = ({ id, licenceClass }: Pick<Person, "id" | "licenceClass">): CheckingRider => ({ staffId: id, licenceClass });
