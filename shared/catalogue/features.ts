// Questions to a model's features, for items that not every machine has.
import type { Features } from "../contracts/machine-model.ts";

export type Applies = (features: Features) => boolean;
export type End = "front" | "rear";
type BrakeKind = Features["brakes"]["front"]["kind"];

export const everyMachine: Applies = () => true;
export const isElectric: Applies = ({ power }) => power === "electric";
export const hasEngine: Applies = ({ power }) => power !== "electric";

/** A clutch lever: manual gearboxes drive by chain or shaft; belt machines and machines with pedals have automatic clutches, as some others do. */
export const hasClutchLever: Applies = (features) =>
  hasEngine(features) &&
  (features.drive === "chain" || features.drive === "shaft") &&
  !features.pedals &&
  features.start !== "pedals" &&
  features.automaticClutch !== true;

export const drivenBy =
  (drive: Features["drive"]): Applies =>
  (features) =>
    features.drive === drive;

export const hasPower =
  (power: Features["power"]): Applies =>
  (features) =>
    features.power === power;

export const hasWheel =
  (end: End, kind: Features["wheels"]["front"]): Applies =>
  ({ wheels }) =>
    wheels[end] === kind;

export const hasBrake =
  (end: End, ...kinds: readonly BrakeKind[]): Applies =>
  ({ brakes }) =>
    kinds.includes(brakes[end].kind);

/** Anything to put a load on. */
export const carriesLoad: Applies = ({ carrier, loadBox }) => carrier || loadBox;

/** Words variant by what works the brake: `hand` or `foot`. */
export const workedBy =
  (end: End) =>
  ({ brakes }: Features): string =>
    brakes[end].workedBy;

/** Words variant by how the engine is started: `kick`, `electric` or `pedals`, then `-choke` and `-decompressor` where fitted. */
export const startingWay = ({ start, choke, decompressor }: Features): string =>
  [start, ...(choke ? ["choke"] : []), ...(decompressor ? ["decompressor"] : [])].join("-");
