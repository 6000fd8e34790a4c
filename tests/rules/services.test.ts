// What a handbook has renewed or set by distance or by days beside the oil.
import { describe, expect, test } from "vitest";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import type { Features, Handbook } from "../../shared/contracts/machine-model.ts";
import { type MachineState, newMachineState, withOdometer, withOilChange, withServices } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { servicedItems, servicesAt } from "../../shared/rules/services.ts";
import { chainMachine, electricMachine } from "../support/machines.ts";

const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
const entry = "2026-01-01T09:00:00.000Z";
const due = (features: Features, handbook: Handbook, state: MachineState, at = entry) =>
  servicesAt({ features, handbook, state, depotRules }, new Date(at));
// Moisture absorbing, changed every two years: a magazine of May 2016, as read on a page.
const everyTwoYears: Handbook = { brakeFluid: { everyDays: 730 } };

describe("an interval of the handbook", () => {
  test("is asked of brake fluid at each hydraulic brake, on the very day two years after, and of no cable or rod", () => {
    const state = newMachineState(0, entry);
    const at = (day: string) =>
      due(electricMachine, everyTwoYears, state, `${day}T12:00:00.000Z`).map((one) => [one.itemId, one.due, one.daysLeft]);
    expect(at("2027-12-31")).toEqual([
      ["front-hydraulics", false, 1],
      ["rear-hydraulics", false, 1],
    ]);
    expect(at("2028-01-01").map(([, isDue]) => isDue)).toEqual([true, true]);
    expect(due(chainMachine, everyTwoYears, state)).toEqual([]);
  });

  test("comes by distance or by days, whichever is first, and by none where the handbook is silent", () => {
    // As the early CG125 manual has it (6-monthly, 6000 km; Routine maintenance).
    const valves: Handbook = { valveClearance: { everyKm: 6000, everyDays: 182 } };
    const state = { ...newMachineState(1000, entry), odometerKm: 7000 };
    expect(due(chainMachine, valves, state)).toMatchObject([
      { itemId: "valve-clearance", due: true, by: "distance", kmLeft: 0, changed: false },
    ]);
    expect(due(chainMachine, valves, { ...state, odometerKm: 6999 }, "2026-07-02T09:00:00.000Z")).toMatchObject([{ by: "days" }]);
    expect(due(chainMachine, {}, state)).toEqual([]);
    expect(due({ ...chainMachine, power: "two-stroke" }, valves, state)).toEqual([]);
  });

  test("is of a belt and of coolant only where the machine has them", () => {
    const book: Handbook = { belt: { everyKm: 8000 }, coolant: { everyDays: 730 } };
    const ids = (features: Features) => due(features, book, newMachineState(0, entry)).map(({ itemId }) => itemId);
    expect(ids({ ...chainMachine, drive: "belt", cooling: "liquid" })).toEqual(["belt-weekly", "coolant-level"]);
    expect(ids(chainMachine)).toEqual([]);
  });
});

describe("it begins anew", () => {
  const answer = (itemId: string, ...actions: NonNullable<WeeklyAnswer["actions"]>): WeeklyAnswer => ({ itemId, result: "ok", actions });

  test("with a renewal, and for valves with their setting; topping up, cleaning and tightening are none", () => {
    expect(
      servicedItems([
        answer("front-hydraulics", "replaced"),
        answer("valve-clearance", "adjusted"),
        answer("horn-and-switches", "replaced"),
      ]),
    ).toEqual(["front-hydraulics", "valve-clearance"]);
    const less = ["front-hydraulics", "belt-weekly", "coolant-level"].map((itemId) =>
      answer(itemId, "topped-up", "cleaned", "adjusted", "tightened"),
    );
    expect(servicedItems([...less, answer("valve-clearance", "lubricated")])).toEqual([]);
  });

  const renewed = withServices({ ...newMachineState(0, entry), odometerKm: 5000 }, ["front-hydraulics"], 5000, "2026-06-01T09:00:00.000Z");
  const front = (state: MachineState, at: string) => due(electricMachine, everyTwoYears, state, at)[0];

  test("on the day it was done, at that end alone, and what arrives late does not undo it", () => {
    expect(
      due(electricMachine, everyTwoYears, renewed, "2028-02-01T09:00:00.000Z").map((one) => [one.itemId, one.due, one.changed]),
    ).toEqual([
      ["front-hydraulics", false, true],
      ["rear-hydraulics", true, false],
    ]);
    const late = withServices(renewed, ["front-hydraulics"], 4000, "2026-05-01T09:00:00.000Z");
    expect(late).toEqual(renewed);
  });

  test("the distance since stays as it was when the odometer is set by hand", () => {
    const book: Handbook = { brakeFluid: { everyKm: 3000 } };
    const left = (state: MachineState) => due(electricMachine, book, state).map(({ kmLeft }) => kmLeft);
    const ridden = { ...renewed, odometerKm: 6000 };
    expect([left(ridden), left(withOdometer(ridden, 10, entry))]).toEqual([
      [2000, -3000],
      [2000, -3000],
    ]);
  });

  test("counted from the entry into the fleet while none is on record, also after the oil was changed", () => {
    const oiled = withOilChange(
      withOilChange(newMachineState(100, entry), 900, "2026-03-01T09:00:00.000Z"),
      1900,
      "2026-05-01T09:00:00.000Z",
    );
    expect(front(oiled, "2026-05-01T12:00:00.000Z")).toMatchObject({ changed: false, daysLeft: 730 - 120 });
  });
});
