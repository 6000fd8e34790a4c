// Machines and readings of every kind, as fast-check makes them: handbooks in any unit, rule sets, engine sizes, worn and new parts.
import fc from "fast-check";
import type { Features, Handbook, RuleSet } from "../../shared/contracts/machine-model.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { DueAtItem } from "../../shared/rules/engine.ts";
import { chainMachine } from "./machines.ts";

/** One machine with what was measured on it. */
export interface Case {
  readonly features: Features;
  readonly handbook: Handbook;
  readonly ruleSet: RuleSet;
  readonly engineCc: number | null;
  readonly readings: Readonly<Partial<Record<Quantity, { asFound: number; asLeft?: number; unit: Unit }>>>;
  readonly oil: DueAtItem | null;
  readonly services: readonly DueAtItem[];
}

export const step = (min: number, max: number, size: number): fc.Arbitrary<number> =>
  fc.integer({ min: Math.round(min / size), max: Math.round(max / size) }).map((n) => Number((n * size).toFixed(3)));
const span = (min: number, max: number, size: number) =>
  fc.tuple(step(min, max, size), step(size, max - min, size)).map(([minMm, more]) => ({ minMm, maxMm: Number((minMm + more).toFixed(3)) }));
const ends = <T>(of: fc.Arbitrary<T>) => fc.record({ front: of, rear: of });
const read = (min: number, max: number, size: number, unit: Unit = "mm") =>
  fc.record(
    { asFound: step(min, max, size), asLeft: step(min, max, size), unit: fc.constant(unit) },
    { requiredKeys: ["asFound", "unit"] },
  );

const pressureIn = { kPa: step(120, 300, 5), psi: step(18, 44, 0.5), bar: step(1.2, 3, 0.05) } as const;
const printedPressure = fc
  .constantFrom("kPa", "psi", "bar")
  .chain((unit) => fc.record({ solo: fc.record({ value: pressureIn[unit], unit: fc.constant(unit) }) }));
const gauge = fc.constantFrom("kPa", "psi", "bar").chain((unit) => {
  const [max, size] = unit === "kPa" ? [350, 1] : unit === "psi" ? [50, 0.5] : [3.5, 0.01];
  return read(0, max, size, unit);
});

const handbook: fc.Arbitrary<Handbook> = fc.record({
  tyrePressure: ends(printedPressure),
  treadLeastMm: ends(step(0.8, 3, 0.1)),
  chainSlack: fc
    .record({ range: span(8, 40, 1), method: fc.constantFrom("total-travel", "one-way", "gap-to-swinging-arm") })
    .map(({ range, method }) => ({ ...range, method, run: "upper" as const, wheel: "loaded" as const })),
  chain: fc.record(
    {
      // ISO 606: half an inch and five eighths
      pitchMm: fc.constantFrom(12.7, 15.875),
      pitches: fc.integer({ min: 15, max: 24 }),
      rearSprocketTeeth: fc.integer({ min: 30, max: 90 }),
      spanMm: step(300, 700, 1),
      adjusterPitchMm: fc.constantFrom(1, 1.25, 1.5),
      adjusterRangeMm: step(3, 40, 1),
      limitPercent: step(1, 3, 0.1),
    },
    { requiredKeys: ["pitchMm", "pitches", "spanMm", "adjusterPitchMm"] },
  ),
  brakeFreeTravel: ends(span(5, 40, 1)),
  liningLeastMm: ends(step(0.5, 3, 0.1)),
  wheelRunOutMostMm: ends(step(0.5, 3, 0.1)),
  rimMaterial: ends(fc.constantFrom("steel", "aluminium")),
  brakeRodNewMm: step(4, 8, 0.1),
  plugGap: span(0.4, 1.2, 0.05),
  clutchFreeTravel: span(5, 30, 1),
  throttleFreePlay: span(1, 8, 0.5),
}) as fc.Arbitrary<Handbook>;

export const oilDue: fc.Arbitrary<DueAtItem> = fc
  .record({
    kmLeft: fc.option(fc.integer({ min: -3000, max: 3000 })),
    daysLeft: fc.option(fc.integer({ min: -40, max: 40 })),
    changed: fc.boolean(),
  })
  .map((oil) => {
    const [byKm, byDays] = [oil.kmLeft, oil.daysLeft].map((left) => left !== null && left <= 0);
    const by = byKm && byDays ? "both" : byKm ? "distance" : byDays ? "days" : null;
    return { itemId: "engine-oil-level", ...oil, due: by !== null, by } as DueAtItem;
  });

export const anyCase: fc.Arbitrary<Case> = handbook.chain(
  (book) =>
    fc.record({
      features: fc.constant(chainMachine),
      handbook: fc.constant(book),
      ruleSet: fc.constantFrom("gb", "eu", "us-model"),
      engineCc: fc.constantFrom(49, 50, 110, 125),
      oil: oilDue,
      services: oilDue.map((due) => [{ ...due, itemId: "valve-clearance" }]),
      readings: fc.record({
        "front-tyre-pressure": gauge,
        "rear-tyre-pressure": gauge,
        "front-tread": read(0, 4, 0.01),
        "rear-tread": read(0, 4, 0.1),
        "chain-slack": read(0, 70, 1),
        // From new to 4 % longer, to a twentieth of a millimetre.
        "chain-length": step(0, 0.04 * (book.chain?.pitches ?? 0) * (book.chain?.pitchMm ?? 0), 0.05).map((more) => ({
          asFound: Number(((book.chain?.pitches ?? 0) * (book.chain?.pitchMm ?? 0) + more).toFixed(3)),
          unit: "mm" as const,
        })),
        "front-brake-free-travel": read(0, 80, 1),
        "rear-lining": read(0, 4, 0.1),
        "front-wheel-run-out": read(0, 6, 0.05),
        "brake-rod-diameter": read(2, 8, 0.05),
        "plug-gap": read(0.3, 1.5, 0.01),
        "clutch-free-travel": read(0, 40, 0.5),
        "throttle-free-play": read(0, 10, 0.1),
        "engine-oil-level": read(-50, 150, 5, "percent"),
      }),
    }) as fc.Arbitrary<Case>,
);
