// Turns a compact line of data into an item, so that the two sheets read as lists.
import type { Category, Competence } from "../contracts/common.ts";
import type { Applies } from "./features.ts";
import type { SourceKey } from "./sources.ts";
import type { StationId } from "./stations.ts";
import type { Item, Observation, SheetKind } from "./types.ts";

type SeenExtras = Pick<Observation, "onlyRepair" | "riderMayPutRight"> & { readonly applies?: Applies };

/** What is seen (last part of the observation's id), its category and the source of that category. */
export type Seen = readonly [seen: string, category: Category, source: SourceKey, extras?: SeenExtras];

interface ItemParts extends Omit<Item, "id" | "kind" | "stationId" | "observations" | "secondPerson"> {
  readonly seen: readonly Seen[];
}

/** Whoever repaired steering, wheels or brakes may not sign it off; a tyre counts as wheel, since changing it takes the wheel out. */
const secondPersonFor: ReadonlySet<Competence> = new Set(["brakes", "wheels-and-tyres", "steering-and-bearings"]);

/** Returns a function that makes the items of one sheet at one station. */
export const itemsAt =
  (kind: SheetKind, stationId: StationId) =>
  (id: string, { seen, ...rest }: ItemParts): Item => ({
    id,
    kind,
    stationId,
    ...rest,
    secondPerson: secondPersonFor.has(rest.competence),
    observations: seen.map(([what, category, source, extras]): Observation => ({ id: `${id}.${what}`, category, source, ...extras })),
  });

/**
 * What a rider may put right on the spot: wholly, by hand or with what a filling station has, and so that the rider sees that it is right. That
 * is so of air, fuel, oil, charge, a cap, a plug, a mirror, a button and a dry chain; it is never so where something is worn, leaks, or may have
 * run without oil, since then what was done hides what the workshop has to see. Common practice, no source.
 */
export const atTheKerb = { riderMayPutRight: "seen" } as const;

/** The same where only a gauge shows that it is right. */
export const measuredAtTheKerb = { riderMayPutRight: "measured" } as const;
