// What was seen at an item and what was measured there, taken together.
import type { Item } from "../catalogue/types.ts";
import { itemFacts } from "./answers.ts";
import type { Finding } from "./findings.ts";
import { worse } from "./machine-state.ts";
import type { ItemVerdict } from "./weekly-inspection.ts";

/** A finding at an item, with the answer that tells it; -1: none does. */
export type Found = Finding & { readonly itemId: string; readonly note: string | null; readonly index: number };

/** What was seen and what was measured at one item is one finding, with the worse category: as found, where it was put right since. */
export function findingsOf(seen: readonly Found[], verdicts: readonly ItemVerdict[], sheet: ReadonlyMap<string, Item>): Found[] {
  const measured = verdicts.filter((verdict) => verdict.result === "defect" && verdict.category !== null);
  const merged = seen.map((finding) => {
    const verdict = verdictAt(verdicts, finding.itemId);
    const category = verdict?.result === "corrected" ? verdict.asFound.category : verdict?.category;
    return category ? { ...finding, category: worse(finding.category, category) } : finding;
  });
  const unseen = measured.filter((verdict) => !seen.some((finding) => finding.itemId === verdict.itemId));
  return [
    ...merged,
    ...unseen.map(
      (verdict): Found => ({
        itemId: verdict.itemId,
        observationIds: [],
        category: verdict.category ?? "major",
        ...itemFacts(sheet.get(verdict.itemId)),
        onlyNewPart: false,
        note: null,
        index: -1,
      }),
    ),
  ];
}

export const verdictAt = (verdicts: readonly ItemVerdict[], itemId: string): ItemVerdict | undefined =>
  verdicts.find((verdict) => verdict.itemId === itemId);
