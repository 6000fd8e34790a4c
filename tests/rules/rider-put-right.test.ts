// What a rider may put right on the spot, what counts as right, and when the workshop is asked for the cause.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dailyItems } from "../../shared/catalogue/daily.ts";
import { readOnWalkAt } from "../../shared/catalogue/proof.ts";
import { itemById, itemsFor, mayPutRight, takesReading } from "../../shared/catalogue/sheet.ts";
import { SHEET_VERSION } from "../../shared/catalogue/versions.ts";
import type { DailyAnswer } from "../../shared/contracts/checks.ts";
import { findingOf } from "../../shared/rules/answers.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { type CheckedMachine, judgeDailyCheck } from "../../shared/rules/daily-check.ts";
import { type MachineState, newMachineState, type PutRightOnce } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { putRightTooOften, withPutRight } from "../../shared/rules/rider-put-right.ts";
import { chainMachine, electricMachine, everyItem, testHandbook } from "../support/machines.ts";

const allSeen = dailyItems.flatMap((item) => item.observations.map((seen) => ({ item, seen })));
const offered = allSeen.filter(({ seen }) => seen.riderMayPutRight !== undefined);
const day = (number: number): Date => new Date(Date.UTC(2026, 8, number, 5, 30));
const zone = "Europe/London";

describe("what a rider may put right", () => {
  it("is air, fuel, oil, coolant, charge, a cap, a plug, a battery pushed home, a mirror or part by hand, a button, and a dry chain; nothing else", () => {
    expect(offered.map(({ seen }) => seen.id).sort()).toEqual(
      [
        ...["front-tyre-pressure.cap-missing", "front-tyre-pressure.a-little-soft"],
        ...["rear-tyre-pressure.cap-missing", "rear-tyre-pressure.a-little-soft"],
        ...["bodywork.loose-but-holds", "chain.dry", "motor-cable.plug-not-home", "fuel.low", "charge.low", "charge.socket-dirty"],
        ...[
          "charge.battery-not-locked",
          "engine-oil.near-low",
          "coolant.near-low",
          "two-stroke-oil.low",
          "two-stroke-oil.cap-loose",
          "horn.button-sticks",
        ],
      ].sort(),
    );
  });

  it("is never dangerous, nor of steering, brakes, bearings or the rider, nor asked of the workshop's own sheet", () => {
    for (const { item, seen } of offered) {
      expect([seen.id, seen.category]).not.toEqual([seen.id, "dangerous"]);
      expect(["brakes", "steering-and-bearings"]).not.toContain(item.competence);
      expect(item.stationId).not.toBe("rider");
    }
    const weekly = everyItem.filter(({ kind }) => kind === "weekly").flatMap(({ observations }) => observations);
    expect(weekly.filter(({ riderMayPutRight }) => riderMayPutRight !== undefined)).toEqual([]);
  });

  it("takes a reading only where a rider has a gauge for it", () => {
    for (const features of [chainMachine, electricMachine])
      for (const item of itemsFor(features, "daily"))
        for (const { id } of item.observations)
          if (takesReading(item, [id])) expect(readOnWalkAt(item.id, { features, handbook: testHandbook })).not.toBeNull();
    expect(offered.filter(({ item, seen }) => takesReading(item, [seen.id])).map(({ seen }) => seen.id)).toEqual([
      "front-tyre-pressure.a-little-soft",
      "rear-tyre-pressure.a-little-soft",
      "charge.low",
    ]);
  });

  it("is all of what was seen or nothing: with a nail beside it, air is no remedy", () => {
    const item = itemById("front-tyre-pressure");
    expect(mayPutRight(item, ["front-tyre-pressure.a-little-soft", "front-tyre-pressure.cap-missing"])).toBe(true);
    expect(mayPutRight(item, ["front-tyre-pressure.a-little-soft", "front-tyre-pressure.valve-damaged"])).toBe(false);
    expect(mayPutRight(item, [])).toBe(false);
    expect(mayPutRight(undefined, ["front-tyre-pressure.cap-missing"])).toBe(false);
  });
});

const machine = (state: MachineState = { ...newMachineState(1000, day(1).toISOString()), firstUseDue: null }): CheckedMachine => ({
  ...{ machineId: "0192d3a4-0000-7000-8000-000000000001", features: chainMachine, engineCc: 50, handbook: testHandbook, ruleSet: "gb" },
  state: { ...state, lastInspectionAt: day(1).toISOString() },
  depotRules: { timeZone: zone, policy: defaultPolicy },
});
const checkWith = (answer: DailyAnswer, of = machine()) => {
  const body = {
    ...{ id: "0192d3a4-0000-7000-8000-000000000002", machineId: of.machineId, sheetVersion: SHEET_VERSION, odometerKm: 1000 },
    ...{ performedAt: day(2).toISOString(), durationSeconds: 61 },
    answers: nilAnswers(chainMachine).map((one): DailyAnswer => (one.itemId === answer.itemId ? answer : one)),
  };
  return judgeDailyCheck(of, body, { staffId: "0192d3a4-0000-7000-8000-000000000003", licenceClass: null }, day(2), () => "new");
};

describe("an answer put-right", () => {
  it("of whatever a rider may not put right weighs exactly as the same answer defect", () => {
    const here = itemsFor(chainMachine, "daily").flatMap(({ id, observations }) =>
      observations
        .filter(({ riderMayPutRight }) => riderMayPutRight === undefined)
        .map((seen) => ({ itemId: id, observationIds: [seen.id] })),
    );
    fc.assert(
      fc.property(fc.constantFrom(...here), (said) => {
        const [put, defect] = [checkWith({ ...said, result: "put-right" }), checkWith({ ...said, result: "defect" })];
        if (put.refused !== null || defect.refused !== null) throw new Error("taken");
        expect(put.state).toEqual(defect.state);
        expect(put.clearance).toEqual(defect.clearance);
        expect(put.flags).toEqual(["put-right-not-offered", ...defect.flags]);
        expect(put.putRight).toEqual([]);
      }),
    );
  });

  it("of what a rider may put right by eye leaves no defect", () => {
    const here = itemsFor(chainMachine, "daily").flatMap((item) =>
      item.observations
        .filter(({ id, riderMayPutRight }) => riderMayPutRight !== undefined && !takesReading(item, [id]))
        .map((seen) => ({ itemId: item.id, observationIds: [seen.id] })),
    );
    for (const said of here) {
      const judged = checkWith({ ...said, result: "put-right" });
      if (judged.refused !== null) throw new Error("taken");
      expect(judged).toMatchObject({ raised: [], clearance: { decision: "ride" }, putRight: [{ ...said, isRight: true, verdict: null }] });
      expect(judged.state.putRight).toEqual([{ itemId: said.itemId, observationId: said.observationIds[0], at: day(2).toISOString() }]);
    }
  });

  it("leaves a defect that is open there as it is", () => {
    const known = findingOf("chain", ["chain.dry"], SHEET_VERSION);
    const raised = checkWith({ itemId: "chain", result: "defect", observationIds: [...known.observationIds] });
    if (raised.refused !== null) throw new Error("taken");
    const judged = checkWith({ itemId: "chain", result: "put-right", observationIds: ["chain.dry"] }, machine(raised.state));
    if (judged.refused !== null) throw new Error("taken");
    expect(judged.state.defects).toEqual(raised.state.defects);
    expect(judged.clearance.decision).toBe("ride-with-defects");
  });
});

const putAt = (numbers: readonly number[], id = "rear-tyre-pressure.a-little-soft"): PutRightOnce[] =>
  numbers.map((number) => ({ itemId: id.split(".")[0] ?? "", observationId: id, at: day(number).toISOString() }));
const stateWith = (putRight: readonly PutRightOnce[], parts: Partial<MachineState> = {}): MachineState => ({
  ...newMachineState(1000, day(1).toISOString()),
  putRight,
  ...parts,
});

describe("the workshop is asked", () => {
  it("after the third time within 28 days, and not before", () => {
    expect(putRightTooOften(stateWith(putAt([1, 9])), day(20), zone)).toEqual([]);
    expect(putRightTooOften(stateWith(putAt([1, 9, 20])), day(20), zone)).toMatchObject([
      { itemId: "rear-tyre-pressure", observationId: "rear-tyre-pressure.a-little-soft", times: 3, firstAt: day(1).toISOString() },
    ]);
    // The 28 days to 28 September begin on the 1st; a day later the first no longer counts.
    expect(putRightTooOften(stateWith(putAt([1, 9, 28])), day(28), zone)).toHaveLength(1);
    expect(putRightTooOften(stateWith(putAt([1, 9, 28])), day(29), zone)).toEqual([]);
  });

  it("about the same only: the other tyre, and another thing at the same item, count by themselves", () => {
    const mixed = [...putAt([2, 3]), ...putAt([4], "front-tyre-pressure.a-little-soft"), ...putAt([5], "rear-tyre-pressure.cap-missing")];
    expect(putRightTooOften(stateWith(mixed), day(6), zone)).toEqual([]);
  });

  it("until it has looked: an inspection or a closed defect of that part answers it, and the next time asks again", () => {
    const thrice = putAt([2, 4, 6]);
    expect(putRightTooOften(stateWith(thrice, { lastInspectionAt: day(5).toISOString() }), day(8), zone)).toHaveLength(1);
    expect(putRightTooOften(stateWith(thrice, { lastInspectionAt: day(7).toISOString() }), day(8), zone)).toEqual([]);
    expect(putRightTooOften(stateWith([...thrice, ...putAt([8])], { lastInspectionAt: day(7).toISOString() }), day(8), zone)).toMatchObject(
      [{ times: 4 }],
    );
    const closed = (itemId: string) => ({
      ...{ id: "d", itemId, observationIds: [], how: "signed-off" as const, closedAt: day(7).toISOString(), recordId: "r" },
    });
    expect(putRightTooOften(stateWith(thrice, { closed: [closed("rear-tyre-pressure-weekly")] }), day(8), zone)).toEqual([]);
    expect(putRightTooOften(stateWith(thrice, { closed: [closed("horn")] }), day(8), zone)).toHaveLength(1);
  });

  it("whatever arrives when: the state holds four weeks of it in the order of time", () => {
    const numbers = fc.array(fc.integer({ min: 1, max: 60 }), { maxLength: 12 });
    fc.assert(
      fc.property(numbers, (days) => {
        let state = newMachineState(1000, day(1).toISOString());
        let now = day(1);
        for (const number of days) {
          now = new Date(Math.max(now.getTime(), day(number).getTime()));
          const done = { itemId: "chain", observationIds: ["chain.dry"], isRight: true };
          state = withPutRight(state, [done], { at: day(number), recordedAt: now });
        }
        const held = (state.putRight ?? []).map(({ at }) => at);
        expect(held).toEqual([...held].sort());
        const within = days.filter((number) => day(number).getTime() > now.getTime() - 28 * 86_400_000);
        expect(held.length).toBeGreaterThanOrEqual(within.length);
        expect(putRightTooOften(state, now, "UTC")).toHaveLength(within.length >= 3 ? 1 : 0);
      }),
    );
  });
});
