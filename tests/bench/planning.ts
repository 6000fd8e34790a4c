// What planning computes: the wear of 10,000 machines, a workshop's year, and 2,000 riders to 2,000 machines; and a depot's plan over HTTP.
import { randomUUID } from "node:crypto";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { allocate } from "../../src/planning/allocation.ts";
import { foresee, type WearRecords } from "../../src/planning/foresee.ts";
import { jobsOf } from "../../src/planning/jobs.ts";
import { planOf } from "../../src/planning/plan-of.ts";
import { factsOf, wearingQuantities } from "../../src/planning/stretches.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { chainMachine, testMachine } from "../support/machines.ts";
import { startService } from "./service.ts";
import { depotId, depots, fleetSize, machineId, manager, setStage } from "./stage.ts";

const weeks = 26;
const kmPerWeek = 420;
const weekMs = 7 * 86_400_000;
export const now = new Date("2026-07-13T04:30:00.000Z");
export const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
export const state = { ...newMachineState(1000, now.toISOString()), firstUseDue: null, lastInspectionAt: now.toISOString() };

/** Even numbers between 0 and 1 that come out the same in every run. */
export function dice(seed: number): () => number {
  let value = seed;
  return () => {
    value = (value * 1_664_525 + 1_013_904_223) % 4_294_967_296;
    return value / 4_294_967_296;
  };
}

const asNewAt: Readonly<Record<string, number>> = Object.fromEntries(
  answersAsNew(testMachine).map(({ itemId, asFound }) => [itemId, asFound ?? 0]),
);
const reading = (itemId: string, week: number, scatter: number): number => {
  const asNew = asNewAt[itemId] ?? 0;
  return itemId === "chain-wear" ? asNew * (1 + 0.0007 * week) + 0.2 * scatter : asNew - 0.08 * week + 0.2 * scatter;
};

export function records(roll: () => number): WearRecords {
  const at = (week: number): string => new Date(now.getTime() - (weeks - week) * weekMs).toISOString();
  return {
    ...{ repairs: [], closings: [], odometerSet: [], away: [], added: { at: at(0), odometerKm: 1000 } },
    checks: Array.from({ length: 24 }, (_, index) => ({
      at: new Date(now.getTime() - (24 - index) * 86_400_000).toISOString(),
      odometerKm: 1000 + weeks * kmPerWeek - (24 - index) * 60,
    })),
    inspections: Array.from({ length: weeks }, (_, index) => ({
      ...{ at: at(index + 1), odometerKm: 1000 + (index + 1) * kmPerWeek, flags: [] },
      readings: wearingQuantities.map((quantity) => {
        const { itemId } = factsOf(quantity);
        return { itemId, asFound: reading(itemId, index, roll() - 0.5), asLeft: null, replaced: false };
      }),
    })),
  };
}

function timed<T>(what: string, work: () => T): T {
  const start = performance.now();
  const result = work();
  console.log(`${what}: ${Math.round(performance.now() - start)} ms`);
  return result;
}

export async function benchPlanning(): Promise<void> {
  const roll = dice(1);
  const fleet = Array.from({ length: fleetSize }, () => records(roll));
  const foreseen = timed(`wear of ${fleetSize} machines, ${wearingQuantities.length} quantities with ${weeks} readings each`, () =>
    fleet.map((one) => foresee({ ...testMachine, state, depotRules }, one, now)),
  );

  const today = localDay(now, depotRules.timeZone);
  const horizon = { ...depotRules, today, lastDay: addDays(today, 370 + 14) };
  const size = fleetSize / depots;
  timed(`year of a workshop with ${size} machines`, () => {
    const jobs = foreseen.slice(0, size).flatMap((one, index) => {
      const lastInspectionAt = new Date(now.getTime() - (index % 7) * 86_400_000).toISOString();
      return jobsOf(
        { id: machineId(index + 1), registrationMark: `B${index}`, state: { ...state, lastInspectionAt }, foreseen: one, leaking: [] },
        horizon,
      );
    });
    const plan = planOf({ id: depotId(0), workshopHoursPerDay: 64 }, jobs, horizon, 371);
    console.log(`  ${jobs.length} jobs, ${plan.late.length} of them late`);
  });

  const many = 2000;
  const classes = ["AM", "A1", "A2", "A"] as const;
  const riders = Array.from({ length: many }, (_, index) => ({
    ...{ staffId: `r${index}`, licenceClass: classes[Math.floor(roll() * 4)] ?? "A", needsLoadBox: roll() < 0.4 },
    rodeBefore: roll() < 0.8 ? `m${Math.floor(roll() * many)}` : null,
  }));
  const machines = Array.from({ length: many }, (_, index) => ({
    ...{ id: `m${index}`, engineCc: [49, 110, 250][Math.floor(roll() * 3)] ?? 110, hasLoadBox: roll() < 0.5, riddenBy: [] },
  }));
  const plan = timed(`${many} riders to ${many} machines`, () => allocate(riders, machines));
  console.log(`  ${plan.allocations.length} served, ${plan.allocations.filter(({ changed }) => changed).length} of them changed`);

  await benchPlanOverHttp(size);
}

/** A depot's plan from the records of half a year, on a real server. */
async function benchPlanOverHttp(size: number): Promise<void> {
  const stage = await setStage();
  try {
    await tellInspections(stage.sql, size);
    const service = await startService(stage.address);
    try {
      const headers = { authorization: `Bearer ${await service.tokenOf(manager)}` };
      for (const days of [7, 371]) {
        const times: number[] = [];
        for (let call = 0; call < 12; call += 1) {
          const start = performance.now();
          const answer = await fetch(`${service.url}/v1/readiness/plan?depotId=${depotId(0)}&days=${days}`, { headers });
          const text = await answer.text();
          times.push(performance.now() - start);
          if (answer.status !== 200) throw new Error(text);
          if (call === 0) console.log(`  ${days} days: ${text.length} bytes`);
        }
        times.sort((a, b) => a - b);
        const at = (index: number): number => Math.round(times[index] ?? Number.NaN);
        console.log(`plan of ${days} days for ${size} machines over HTTP: median ${at(6)} ms, worst ${at(11)} ms`);
      }
    } finally {
      await service.stop();
    }
  } finally {
    await stage.clear();
  }
}

/** Weekly inspections of half a year for the first depot's machines, written by SQL as the doors would leave them. */
async function tellInspections(sql: Awaited<ReturnType<typeof setStage>>["sql"], size: number): Promise<void> {
  const roll = dice(2);
  const measured = new Set(itemsFor(chainMachine, "weekly").flatMap(({ id, quantity }) => (quantity ? [id] : [])));
  const staffId = randomUUID();
  await sql`INSERT INTO staff (id, staff_number, name, role, all_depots, competences, secret_hash, added_at)
    VALUES (${staffId}, 'M001', 'Bench', 'mechanic', true, '{inspection}', 'none', now())`;
  for (let machine = 0; machine < size; machine += 1) {
    const id = machineId((machine + 1) * depots);
    const entries = Array.from({ length: weeks }, (_, week) => {
      const performedAt = new Date(Date.now() - (weeks - week) * weekMs).toISOString();
      const answers = answersAsNew(testMachine).map((answer) =>
        measured.has(answer.itemId) ? { ...answer, asFound: reading(answer.itemId, week, roll() - 0.5) } : answer,
      );
      const odometerKm = 1000 + week * kmPerWeek;
      const submitted = { id: randomUUID(), machineId: id, sheetVersion: SHEET_VERSION, performedAt, odometerKm, answers };
      return { id: submitted.id, position: week + 1, performedAt, odometerKm, data: { submitted } };
    });
    await sql`
      WITH entry AS (SELECT * FROM jsonb_to_recordset(${sql.json(entries as never)}::jsonb)
          AS e (id uuid, position int, "performedAt" timestamptz, "odometerKm" int, data jsonb)),
        kept AS (INSERT INTO ledger (id, chain_id, position, kind, version, machine_id, depot_id, staff_id, performed_at, recorded_at, data, salt, data_sha256, sha256)
          SELECT id, ${id}::uuid, position, 'weekly-inspection', 1, ${id}::uuid, ${depotId(0)}::uuid, ${staffId}::uuid, "performedAt", "performedAt", data,
            decode(md5(id::text), 'hex'), sha256(id::text::bytea), sha256(id::text::bytea)
          FROM entry)
      INSERT INTO weekly_inspection (id, machine_id, depot_id, staff_id, local_day, performed_at, recorded_at, odometer_km, defect_count, flags)
      SELECT id, ${id}::uuid, ${depotId(0)}::uuid, ${staffId}::uuid, "performedAt"::date, "performedAt", "performedAt", "odometerKm", 0, '{}' FROM entry`;
  }
  await sql`ANALYZE`;
}
