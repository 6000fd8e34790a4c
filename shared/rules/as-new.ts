// A machine in perfect order: what a gauge shows on it, the limits that its readings have to keep, and its daily sheet as it would be
// answered.
import { itemsFor } from "../catalogue/sheet.ts";
import type { DailyAnswer } from "../contracts/checks.ts";
import type { Features } from "../contracts/machine-model.ts";
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { unitsFor } from "../units.ts";
import { type JudgedMachine, readingWithinLimits } from "./judge-reading.ts";
import type { DecidingLimit } from "./verdict.ts";

/** The reading of a machine in perfect order; where the handbook gives no figure, a value within every other limit. */
export function readingAsNew(quantity: Quantity, { handbook, load }: JudgedMachine): { readonly value: number; readonly unit: Unit } {
  const [unit] = unitsFor(quantity);
  const middle = (range: { readonly minMm: number; readonly maxMm: number } | undefined, silent: number): number =>
    range ? (range.minMm + range.maxMm) / 2 : silent;
  switch (quantity) {
    case "front-tyre-pressure":
    case "rear-tyre-pressure": {
      const printed = handbook.tyrePressure?.[quantity === "front-tyre-pressure" ? "front" : "rear"];
      return (load === "laden" ? printed?.laden : undefined) ?? printed?.solo ?? { value: 200, unit: "kPa" };
    }
    case "front-tread":
    case "rear-tread":
      return { value: 5, unit };
    case "chain-slack":
      // About half an inch of total travel where the handbook is silent: common practice, no source.
      return { value: middle(handbook.chainSlack, 12.7), unit };
    case "chain-length":
      return { value: (handbook.chain?.pitchMm ?? 12.7) * (handbook.chain?.pitches ?? 20), unit };
    case "front-brake-free-travel":
      return { value: middle(handbook.brakeFreeTravel?.front, 25), unit };
    case "rear-brake-free-travel":
      return { value: middle(handbook.brakeFreeTravel?.rear, 25), unit };
    case "front-lining":
    case "rear-lining":
      return { value: 4, unit };
    case "front-wheel-run-out":
    case "rear-wheel-run-out":
      return { value: 0, unit };
    case "brake-rod-diameter":
      return { value: handbook.brakeRodNewMm ?? 6, unit };
    case "plug-gap":
      return { value: middle(handbook.plugGap, 0.7), unit };
    case "clutch-free-travel":
      return { value: middle(handbook.clutchFreeTravel, 15), unit };
    case "throttle-free-play":
      return { value: middle(handbook.throttleFreePlay, 4), unit };
    case "engine-oil-level":
    case "gearcase-oil-level":
    case "brake-efficiency":
    case "charge":
      return { value: 80, unit };
    case "odometer":
      return { value: 0, unit };
    default:
      return quantity satisfies never;
  }
}

/** The limit that a reading of this quantity has to keep on this machine. */
export function limitFor(quantity: Quantity, machine: JudgedMachine): DecidingLimit {
  return readingWithinLimits({ ...machine, quantity, ...readingAsNew(quantity, machine) }).limit;
}

/** The daily sheet of a machine with every item answered "ok": a nil-defect check. */
export const nilAnswers = (features: Features): DailyAnswer[] =>
  itemsFor(features, "daily").map(({ id }) => ({ itemId: id, result: "ok" }));
