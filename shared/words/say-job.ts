// What waits for the workshop, in a sentence.
import type { Category } from "../contracts/common.ts";
import type { WorkPlan } from "../contracts/planning.ts";
import { nameOfFinding } from "./say-reason.ts";
import { type Language, word, wordByKey } from "./speak.ts";

interface Job extends Pick<WorkPlan["late"][number], "kind" | "itemId"> {
  readonly words?: string | undefined;
  readonly category?: Category | undefined;
  readonly paperKind?: string | undefined;
}

/** What a job is, from its kind and what it is about. */
export const sayJob = ({ kind, itemId, words, category, paperKind }: Job, language: Language = "en"): string =>
  word(`job.${kind}`, language, {
    item: nameOfFinding(itemId, words ?? null, language),
    category: category ? word(`category.${category}`, language) : "",
    paper: paperKind ? wordByKey(`paper-kind.${paperKind}`, language) : "",
  });
