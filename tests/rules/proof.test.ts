import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { proofFor } from "../../shared/catalogue/sheet.ts";
import { type Features, type Handbook, handbookSchema } from "../../shared/contracts/machine-model.ts";
import { anyFeatures, chainMachine, electricMachine } from "../support/machines.ts";

const noFigures: Handbook = {};
const anyDay = fc
  .date({ min: new Date("2000-01-01T00:00:00Z"), max: new Date("2099-12-31T00:00:00Z"), noInvalidDate: true })
  .map((date) => date.toISOString().slice(0, 10));
const daysFrom = (day: string, count: number) =>
  Array.from({ length: count }, (_, index) => new Date(Date.parse(`${day}T00:00:00Z`) + index * 86_400_000).toISOString().slice(0, 10));

const expected = (features: Features) =>
  [
    "odometer",
    "front-tyre-pressure",
    "rear-tyre-pressure",
    ...(features.drive === "chain" ? ["chain-slack"] : []),
    ...(features.power === "electric" ? ["charge"] : []),
  ].toSorted();

describe("the reading that proves a daily check", () => {
  it("is the same for the same machine and day, wherever it is asked", () => {
    fc.assert(
      fc.property(fc.uuid(), anyDay, anyFeatures, (machineId, day, features) => {
        const question = { machineId, day, features, handbook: noFigures };
        expect(proofFor(structuredClone(question))).toEqual(proofFor(question));
      }),
    );
  });

  it("asks within any 30 days for everything that the machine has, and never for what it lacks", () => {
    fc.assert(
      fc.property(fc.uuid(), anyDay, anyFeatures, (machineId, day, features) => {
        const asked = daysFrom(day, 30).map((each) => proofFor({ machineId, day: each, features, handbook: noFigures }).quantity);
        expect([...new Set(asked)].toSorted()).toEqual(expected(features));
      }),
    );
  });

  it("differs between machines on one day, and its order between one round and the next", () => {
    const machines = Array.from({ length: 40 }, (_, index) => `0198f000-0000-7000-8000-${String(index).padStart(12, "0")}`);
    const askedOf = (machineId: string, day: string) => proofFor({ machineId, day, features: chainMachine, handbook: noFigures }).quantity;
    expect(new Set(machines.map((machineId) => askedOf(machineId, "2026-07-14"))).size).toBe(4);
    const rounds = daysFrom("2026-07-14", 80).map((day) => askedOf(machines[0] ?? "", day));
    const aRoundLater = rounds.slice(4);
    expect(aRoundLater.some((quantity, index) => quantity !== rounds[index])).toBe(true);
  });

  it("is asked in the handbook's own unit, each end by itself", () => {
    const handbook = handbookSchema.parse({
      tyrePressure: { front: { solo: { value: 25, unit: "psi" } }, rear: { solo: { value: 2, unit: "bar" } } },
    });
    const asked = daysFrom("2026-07-14", 12).map((day) => proofFor({ machineId: "m", day, features: electricMachine, handbook }));
    // Plausible window of 100 to 350 kPa for small machines: from memory; 1 psi = 6.894757 kPa (NIST SP 811 app. B, from memory)
    expect(asked).toContainEqual(expect.objectContaining({ quantity: "front-tyre-pressure", unit: "psi", min: 14.5, max: 50.8 }));
    expect(asked).toContainEqual(expect.objectContaining({ quantity: "rear-tyre-pressure", unit: "bar", min: 1, max: 3.5 }));
    expect(asked).toContainEqual(expect.objectContaining({ quantity: "charge", unit: "percent", min: 0, max: 100 }));
    const inPsi = asked.find(({ unit }) => unit === "psi");
    expect((inPsi?.min ?? Number.NaN) * 6.894757).toBeLessThanOrEqual(100);
    expect((inPsi?.max ?? Number.NaN) * 6.894757).toBeGreaterThanOrEqual(350);
  });

  it("falls back to kPa where the handbook gives no pressure, and an odometer may start at 0", () => {
    const asked = daysFrom("2026-07-14", 12).map((day) => proofFor({ machineId: "m", day, features: chainMachine, handbook: noFigures }));
    expect(asked).toContainEqual(expect.objectContaining({ quantity: "front-tyre-pressure", unit: "kPa", min: 100, max: 350 }));
    expect(asked.find(({ quantity }) => quantity === "odometer")).toMatchObject({ unit: "km", min: 0 });
  });

  it("refuses what is no day", () => {
    for (const day of ["2026-7-14", "2026-13-01", "today", ""])
      expect(() => proofFor({ machineId: "m", day, features: chainMachine, handbook: noFigures })).toThrow(RangeError);
  });
});
