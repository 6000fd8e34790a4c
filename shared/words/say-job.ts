// What waits for the workshop, in a sentence.
import type { Category } from "../contracts/common.ts";
import type { WorkPlan } from "../contracts/planning.ts";
import { isolated } from "./isolate.ts";
import { nameOfDefect, sayWait } from "./say-reason.ts";
import { type Language, word, wordByKey } from "./speak.ts";

interface Job extends Pick<WorkPlan["late"][number], "kind" | "itemId"> {
  readonly words?: string | undefined;
  readonly campaign?: string | undefined;
  /** as it is to be read */
  readonly expectedDay?: string | undefined;
  readonly part?: string | undefined;
  readonly workshop?: string | undefined;
  /** as it is to be read */
  readonly backDay?: string | undefined;
  readonly category?: Category | undefined;
  readonly paperKind?: string | undefined;
}

/** What a job is, from its kind and what it is about. */
export function sayJob(
  { kind, itemId, words, campaign, expectedDay, part, workshop, backDay, category, paperKind }: Job,
  language: Language = "en",
): string {
  const job = word(`job.${kind}`, language, {
    item: nameOfDefect({ itemId, note: words ?? null, campaign }, language),
    category: category ? word(`category.${category}`, language) : "",
    paper: paperKind ? wordByKey(`paper-kind.${paperKind}`, language) : "",
  });
  const wait = sayWait(expectedDay, part, language);
  const away = workshop === undefined ? "" : word("job.away", language, { workshop: isolated(workshop), day: backDay ?? "" });
  return [job, wait, away].filter((part) => part !== "").join("; ");
}
