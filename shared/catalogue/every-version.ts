// For the service and its tools, which judge and read records of every version: the old sheets, frozen as they were published. Each file
// in frozen/ is the canonical JSON (RFC 8785) of its document, so its SHA-256 by any tool is the hash that records carry.
// `npm run sheets` prints the hashes, and `npm run sheets -- <version>` the document of a version, to be frozen before the next is opened.
import { applying, type Condition } from "./condition.ts";
import document2026Nov from "./frozen/2026-11.json" with { type: "json" };
import type { Item } from "./types.ts";
import { learnSheets } from "./versions.ts";

/** As much of a frozen document as judging needs; the rest is there for people to read. */
interface FrozenSheets {
  readonly version: string;
  readonly daily: readonly FrozenItem[];
  readonly weekly: readonly FrozenItem[];
}
type FrozenItem = Omit<Item, "applies" | "observations" | "howVariant"> & {
  readonly applies: Condition;
  readonly observations: readonly (Omit<Item["observations"][number], "applies"> & { readonly applies?: Condition })[];
};

/** Oldest first. */
export const frozenSheets: readonly FrozenSheets[] = [document2026Nov as FrozenSheets];

const thawed = ({ applies, observations, ...item }: FrozenItem): Item => ({
  ...item,
  applies: applying(applies),
  observations: observations.map(({ applies: only, ...seen }) => ({ ...seen, ...(only === undefined ? {} : { applies: applying(only) }) })),
});

for (const { version, daily, weekly } of frozenSheets) learnSheets(version, { daily: daily.map(thawed), weekly: weekly.map(thawed) });
