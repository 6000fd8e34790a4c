// Machines for tests: every combination of features, a few that tests call by name, and the figures of their handbook.
import fc from "fast-check";
import { dailyItems } from "../../shared/catalogue/daily.ts";
import type { Item } from "../../shared/catalogue/types.ts";
import { weeklyItems } from "../../shared/catalogue/weekly.ts";
import type { Features, Handbook } from "../../shared/contracts/machine-model.ts";
import type { JudgedMachine } from "../../shared/rules/judge-reading.ts";

export const everyItem: readonly Item[] = [...dailyItems, ...weeklyItems];

export const chainMachine: Features = {
  drive: "chain",
  wheels: { front: "spoked", rear: "spoked" },
  brakes: { front: { kind: "drum-cable", workedBy: "hand" }, rear: { kind: "drum-rod", workedBy: "foot" } },
  power: "four-stroke",
  start: "kick",
  gearcase: "dipstick",
  choke: true,
  decompressor: false,
  pedals: false,
  indicators: true,
  carrier: true,
  loadBox: true,
};

export const electricMachine: Features = {
  drive: "hub-motor",
  wheels: { front: "cast", rear: "cast" },
  brakes: { front: { kind: "disc-hydraulic", workedBy: "hand" }, rear: { kind: "disc-hydraulic", workedBy: "hand" } },
  power: "electric",
  start: "electric",
  gearcase: "none",
  choke: false,
  decompressor: false,
  pedals: false,
  indicators: true,
  carrier: false,
  loadBox: false,
};

/**
 * The handbook of the chain machine, wherever a test needs one: figures of no real machine; round, so that a limit is easily crossed on
 * purpose. A test that hangs on others spreads these and says its own.
 */
export const testHandbook = {
  tyrePressure: {
    front: { solo: { value: 175, unit: "kPa" } },
    rear: { solo: { value: 200, unit: "kPa" }, laden: { value: 250, unit: "kPa" } },
  },
  treadLeastMm: { front: 1.5, rear: 2 },
  chainSlack: { minMm: 15, maxMm: 25, method: "total-travel", run: "lower", wheel: "loaded" },
  chain: { pitchMm: 12.7, pitches: 20, loadN: 98, rearSprocketTeeth: 42, spanMm: 500, adjusterPitchMm: 1 },
  brakeFreeTravel: { front: { minMm: 20, maxMm: 30 }, rear: { minMm: 20, maxMm: 30 } },
  liningLeastMm: { front: 2, rear: 2 },
  wheelRunOutMostMm: { front: 2, rear: 2 },
  rimMaterial: { front: "steel", rear: "steel" },
  brakeRodNewMm: 6,
  plugGap: { minMm: 0.6, maxMm: 0.7 },
  clutchFreeTravel: { minMm: 10, maxMm: 20 },
  throttleFreePlay: { minMm: 2, maxMm: 6 },
  oilChange: { everyKm: 2000, everyDays: 120 },
} as const satisfies Handbook;

export const testMachine: JudgedMachine = { features: chainMachine, engineCc: 110, handbook: testHandbook, ruleSet: "gb" };

/** The chain machine as a model, as it is sent to be added. */
export const testModel = (name: string) => ({ name, engineCc: 110, features: chainMachine, handbook: testHandbook });

const drives = ["chain", "belt", "shaft", "hub-motor"] as const;
const wheels = ["spoked", "cast"] as const;
const brakes = ["drum-cable", "drum-rod", "disc-hydraulic"] as const;
const workedBy = ["hand", "foot"] as const;
const powers = ["four-stroke", "two-stroke", "electric"] as const;
const starts = ["kick", "electric", "pedals"] as const;
const gearcases = ["dipstick", "filler-level", "none"] as const;
const coolings = ["air", "liquid"] as const;
const yesOrNo = [false, true] as const;

/** Any machine that the contract allows, odd mixtures included. */
export const anyFeatures: fc.Arbitrary<Features> = fc.record({
  drive: fc.constantFrom(...drives),
  wheels: fc.record({ front: fc.constantFrom(...wheels), rear: fc.constantFrom(...wheels) }),
  brakes: fc.record({
    front: fc.record({ kind: fc.constantFrom(...brakes), workedBy: fc.constantFrom(...workedBy) }),
    rear: fc.record({ kind: fc.constantFrom(...brakes), workedBy: fc.constantFrom(...workedBy) }),
  }),
  power: fc.constantFrom(...powers),
  start: fc.constantFrom(...starts),
  gearcase: fc.constantFrom(...gearcases),
  cooling: fc.constantFrom(...coolings),
  standCutOut: fc.boolean(),
  choke: fc.boolean(),
  decompressor: fc.boolean(),
  pedals: fc.boolean(),
  indicators: fc.boolean(),
  carrier: fc.boolean(),
  loadBox: fc.boolean(),
});

/** Every combination in which both ends have the same wheel and brake, worked by hand in front: 41,472 machines. */
export function* everyCombination(): Generator<Features> {
  for (const drive of drives)
    for (const wheel of wheels)
      for (const kind of brakes)
        for (const power of powers)
          for (const start of starts)
            for (const gearcase of gearcases)
              for (let switches = 0; switches < 64; switches++) {
                const on = (bit: number): boolean => yesOrNo[(switches >> bit) & 1] ?? false;
                yield {
                  drive,
                  wheels: { front: wheel, rear: wheel },
                  brakes: { front: { kind, workedBy: "hand" }, rear: { kind, workedBy: "foot" } },
                  power,
                  start,
                  gearcase,
                  // Tied to the choke, on which no item hangs: a switch more would make twice as many machines.
                  cooling: on(0) ? "liquid" : "air",
                  choke: on(0),
                  decompressor: on(1),
                  pedals: on(2),
                  indicators: on(3),
                  carrier: on(4),
                  loadBox: on(5),
                };
              }
}
