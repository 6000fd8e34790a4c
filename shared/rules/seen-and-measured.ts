// What was seen at an item and what was measured there, taken together.
import type { Item } from "../catalogue/types.ts";
import type { Category } from "../contracts/common.ts";
import { itemFacts } from "./answers.ts";
import type { Finding } from "./findings.ts";
import { worse } from "./machine-state.ts";
import type { ItemVerdict } from "./verdict.ts";

/** A finding at an item, with the index of the answer that reported it; -1: only the reading shows it. */
export type Found = Finding & { readonly itemId: string; readonly note: string | null; readonly index: number };

/**
 * What was seen and what was measured at one item is one finding, with the worse category, and that as found even where it was put right
 * since.
 */
export function findingsOf(seen: readonly Found[], verdicts: readonly ItemVerdict[], sheet: ReadonlyMap<string, Item>): Found[] {
  const measured = verdicts.filter((verdict) => verdict.result === "defect" && verdict.category !== null);
  const merged = seen.map((finding) => {
    const verdict = verdictAt(verdicts, finding.itemId);
    const category = verdict && weightOf(verdict);
    return category ? { ...finding, category: worse(finding.category, category) } : finding;
  });
  const unseen = measured.filter((verdict) => !seen.some((finding) => finding.itemId === verdict.itemId));
  return [
    ...merged,
    ...unseen.map(
      (verdict): Found => ({
        itemId: verdict.itemId,
        observationIds: [],
        category: weightOf(verdict) ?? "major",
        ...itemFacts(sheet.get(verdict.itemId)),
        onlyNewPart: false,
        note: null,
        index: -1,
      }),
    ),
  ];
}

/**
 * How a reading weighs as a finding: as it was found, and no less for work that left it half right. Who may lower the category is decided
 * elsewhere.
 */
function weightOf({ result, asFound, category }: ItemVerdict): Category | null {
  if (result === "corrected" || category === null) return result === "corrected" ? asFound.category : null;
  return asFound.category === null ? category : worse(category, asFound.category);
}

export const verdictAt = (verdicts: readonly ItemVerdict[], itemId: string): ItemVerdict | undefined =>
  verdicts.find((verdict) => verdict.itemId === itemId);

/** One verdict an item: the first that is a defect, else the first. */
export const worstVerdicts = <One extends ItemVerdict>(verdicts: readonly One[]): One[] =>
  [...new Set(verdicts.map(({ itemId }) => itemId))].flatMap((itemId) => {
    const own = verdicts.filter((verdict) => verdict.itemId === itemId);
    return own.find(({ result }) => result === "defect") ?? own[0] ?? [];
  });
