// Questions about a model's features, for items that not every machine has.
import type { Features } from "../contracts/machine-model.ts";
import { type Applies, all, applying, either } from "./condition.ts";

export type { Applies } from "./condition.ts";
export type End = "front" | "rear";
type BrakeKind = Features["brakes"]["front"]["kind"];
type Switch = "indicators" | "carrier" | "loadBox" | "pedals";

const among = (feature: string, ...values: readonly (string | boolean | null)[]): Applies => applying({ feature, in: values });

export const everyMachine: Applies = applying("any");
export const isElectric: Applies = among("power", "electric");
export const hasEngine: Applies = among("power", "four-stroke", "two-stroke");

/**
 * A clutch lever: manual gearboxes drive by chain or shaft; belt machines, machines with pedals and some others have automatic clutches.
 */
export const hasClutchLever: Applies = all(
  hasEngine,
  among("drive", "chain", "shaft"),
  among("pedals", false),
  among("start", "kick", "electric"),
  among("automaticClutch", false, null),
);

export const drivenBy = (drive: Features["drive"]): Applies => among("drive", drive);

export const hasPower = (power: Features["power"]): Applies => among("power", power);

export const hasWheel = (end: End, kind: Features["wheels"]["front"]): Applies => among(`wheels.${end}`, kind);

export const hasBrake = (end: End, ...kinds: readonly BrakeKind[]): Applies => among(`brakes.${end}.kind`, ...kinds);

export const fittedWith = (part: Switch): Applies => among(part, true);

/** Few machines of this size are: one of which nothing is said is cooled by air. */
export const isLiquidCooled: Applies = among("cooling", "liquid");

/** A switch at the stand that cuts the engine; where the model does not say, whoever stands in front of the machine sees it. */
export const mayHaveStandCutOut: Applies = among("standCutOut", true, null);

export const hasGearcaseLevel: Applies = among("gearcase", "dipstick", "filler-level");

/** Anything to put a load on. */
export const carriesLoad: Applies = either(fittedWith("carrier"), fittedWith("loadBox"));

/** Pedals to work the machine or to start it. */
export const hasPedals: Applies = either(fittedWith("pedals"), among("start", "pedals"));

/** Which variant of the words applies, by what works the brake: `hand` or `foot`. */
export const workedBy =
  (end: End) =>
  ({ brakes }: Features): string =>
    brakes[end].workedBy;

/**
 * Which variant of the words applies, by how the engine is started: `kick`, `electric` or `pedals`, then `-choke` and `-decompressor` where
 * fitted.
 */
export const startingWay = ({ start, choke, decompressor }: Features): string =>
  [start, ...(choke ? ["choke"] : []), ...(decompressor ? ["decompressor"] : [])].join("-");
