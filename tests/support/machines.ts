// Machines for tests of pure rules: every combination of features, and a few that tests call by name.
import fc from "fast-check";
import { dailyItems } from "../../shared/catalogue/daily.ts";
import type { Item } from "../../shared/catalogue/types.ts";
import { weeklyItems } from "../../shared/catalogue/weekly.ts";
import type { Features } from "../../shared/contracts/machine-model.ts";

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

const drives = ["chain", "belt", "shaft", "hub-motor"] as const;
const wheels = ["spoked", "cast"] as const;
const brakes = ["drum-cable", "drum-rod", "disc-hydraulic"] as const;
const workedBy = ["hand", "foot"] as const;
const powers = ["four-stroke", "two-stroke", "electric"] as const;
const starts = ["kick", "electric", "pedals"] as const;
const gearcases = ["dipstick", "filler-level", "none"] as const;
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
                  choke: on(0),
                  decompressor: on(1),
                  pedals: on(2),
                  indicators: on(3),
                  carrier: on(4),
                  loadBox: on(5),
                };
              }
}
