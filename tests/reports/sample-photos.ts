// Photos of a defect as reports get them: real JPEGs, made here.
import { createHash } from "node:crypto";
import type { DefectReportFacts, PhotoShown } from "../../src/reports/defect-facts.ts";
import { halves } from "../support/pictures.ts";
import { people } from "./sample-facts.ts";

const senders = [people.accented, people.thai, people.long];

/** Photos of these sizes in pixels; null: its bytes are gone. */
export const photosOf = async (
  ...sizes: readonly (readonly [widthPx: number, heightPx: number] | null)[]
): Promise<DefectReportFacts["photos"]> => {
  const shown = sizes.map(async (size, place): Promise<PhotoShown> => {
    const by = senders[place % senders.length] ?? people.long;
    const about = {
      by,
      at: new Date(Date.UTC(2026, 6, 13, 4, 32 + place)),
      sha256: createHash("sha256").update(String(place)).digest("hex"),
    };
    if (size === null) return { ...about, jpeg: null };
    const [widthPx, heightPx] = size;
    return { ...about, jpeg: { widthPx, heightPx, bytes: await halves(widthPx, heightPx).jpeg().toBuffer() } };
  });
  return { shown: await Promise.all(shown), count: sizes.length, awaitedCount: 0 };
};
