// The one real reading that a daily check asks for, so that answers given by habit stand out. Which one follows from machine and day,
// so that the phone knows it without a signal; the order is shuffled anew each round, so that nobody learns it by heart.
import type { Features, Handbook } from "../contracts/machine-model.ts";
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { type Applies, drivenBy, everyMachine, isElectric } from "./features.ts";

/** What to read, in which unit, and between which values a reading is believable (which is wider than its limits). */
export interface Proof {
  readonly quantity: Quantity;
  readonly unit: Unit;
  readonly min: number;
  readonly max: number;
  /** the daily item at which a reading outside its limits is a finding; null for the odometer, which has none */
  readonly itemId: string | null;
}

export interface ProofQuestion {
  readonly machineId: string;
  /** `YYYY-MM-DD`, the depot's day. */
  readonly day: string;
  readonly features: Features;
  readonly handbook: Handbook;
}

/** 100 to 350 kPa is plausible for machines of 50 to 125 cc (from memory), outward-rounded in each unit that a gauge may show. */
const plausiblePressure = { kPa: [100, 350], psi: [14.5, 50.8], bar: [1, 3.5] } as const;

type Range = readonly [min: number, max: number];

/** What may be asked for, in this order before it is shuffled: on which machines, and what is believable in each unit. The handbook's unit is asked for where it is here. */
export const askable: readonly {
  readonly quantity: Quantity;
  readonly itemId: string | null;
  readonly applies: Applies;
  readonly believable: Readonly<Partial<Record<Unit, Range>>>;
}[] = [
  { quantity: "odometer", itemId: null, applies: everyMachine, believable: { km: [0, 999_999] } },
  { quantity: "front-tyre-pressure", itemId: "front-tyre-pressure", applies: everyMachine, believable: plausiblePressure },
  { quantity: "rear-tyre-pressure", itemId: "rear-tyre-pressure", applies: everyMachine, believable: plausiblePressure },
  // Total travel above 80 mm would have thrown the chain (common practice).
  { quantity: "chain-slack", itemId: "chain", applies: drivenBy("chain"), believable: { mm: [0, 80] } },
  { quantity: "charge", itemId: "charge", applies: isElectric, believable: { percent: [0, 100] } },
];

const printedUnit = (quantity: Quantity, { tyrePressure }: Handbook): Unit | undefined =>
  ({ "front-tyre-pressure": tyrePressure?.front, "rear-tyre-pressure": tyrePressure?.rear })[quantity as string]?.solo.unit;

const candidates = (features: Features, handbook: Handbook): Proof[] =>
  askable
    .filter(({ applies }) => applies(features))
    .map(({ quantity, itemId, believable }) => {
      const units = Object.keys(believable) as Unit[];
      const unit = units.find((one) => one === printedUnit(quantity, handbook)) ?? units[0] ?? "km";
      const [min, max] = believable[unit] ?? [0, 0];
      return { quantity, unit, min, max, itemId };
    });

/** What a rider can read at an item of the daily sheet of this machine; null where nothing is read on a walk. */
export const readOnWalkAt = (itemId: string, { features, handbook }: Pick<ProofQuestion, "features" | "handbook">): Proof | null =>
  candidates(features, handbook).find((proof) => proof.itemId === itemId) ?? null;

/** FNV-1a over UTF-16 units with a final mix: spread evenly and the same on phone and server. It need not be secret. */
const spread = (text: string): number => {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index++) hash = Math.imul(hash ^ text.charCodeAt(index), 0x01000193);
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
};

const dayNumber = (day: string): number => {
  const milliseconds = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : Number.NaN;
  if (Number.isNaN(milliseconds)) throw new RangeError(`not a day: ${day}`);
  return milliseconds / 86_400_000;
};

/**
 * The reading that proves the daily check of this machine on this day. Every quantity that the machine has comes once in each
 * round of as many days. Throws RangeError where `day` is not `YYYY-MM-DD`.
 */
export const proofFor = ({ machineId, day, features, handbook }: ProofQuestion): Proof => {
  const among = candidates(features, handbook);
  const quantity = oneOf(
    among.map((proof) => proof.quantity),
    machineId,
    day,
  );
  const chosen = among.find((proof) => proof.quantity === quantity);
  if (!chosen) throw new RangeError(`no proof for ${day}`);
  return chosen;
};

/** One of these ids for this machine and day: each comes once in a round of as many days, and each round is shuffled anew. */
export const oneOf = (ids: readonly string[], machineId: string, day: string): string | undefined => {
  const number = dayNumber(day);
  const round = Math.floor(number / ids.length);
  const shuffled = ids
    .map((id) => ({ id, place: spread(`${machineId}/${round}/${id}`) }))
    .sort((one, other) => one.place - other.place || one.id.localeCompare(other.id, "en"));
  return shuffled[number - round * ids.length]?.id;
};
