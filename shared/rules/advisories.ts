// Open advisories at an inspection: it says of each that it is still so, gone, or worse. What it does not say is asked for, so that nothing that
// is worth watching is forgotten.
import { partsOf, type Found as Seen, samePart } from "../catalogue/parts.ts";
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer } from "../contracts/checks.ts";
import type { Competence } from "../contracts/common.ts";
import type { MachineState, OpenDefect } from "./machine-state.ts";
import { ofItemOf } from "./second-person.ts";
import type { Found } from "./seen-and-measured.ts";

/** What an inspection says of an open advisory. */
export type AdvisoryNow = NonNullable<WeeklyAnswer["advisories"]>[number]["now"];

export interface AdvisoryIssue {
  /** of the answer to the item at which it is asked; null where there is none yet */
  readonly index: number | null;
  readonly field: "advisories";
  readonly message: string;
}

export interface WeighedAdvisories {
  readonly issues: readonly AdvisoryIssue[];
  /** still so, where nothing else that the inspection found says so: seen again */
  readonly stays: readonly Found[];
  /** ids of those that it closes */
  readonly gone: ReadonlySet<string>;
}

/** The advisories that an inspection made at that moment is asked about. */
export const advisoriesAt = ({ defects }: Pick<MachineState, "defects">, performedAt: Date): OpenDefect[] =>
  defects.filter(({ category, seenAt }) => category === "advisory" && seenAt <= performedAt.toISOString());

/** The item of a sheet at which an advisory is asked: the first that looks at its part, else the last of the sheet. */
export const askedAt = (advisory: Seen, sheet: ReadonlyMap<string, Item>): string | undefined =>
  partsOf(advisory).find((id) => sheet.has(id)) ?? [...sheet.keys()].at(-1);

/** Whether a finding is about the same item or part. */
const isOf = (finding: Seen, advisory: Seen): boolean => finding.itemId === advisory.itemId || samePart(finding, advisory);

/** Weighs what an inspection says of the open advisories, beside what it found. */
export function weighAdvisories(
  advisories: readonly OpenDefect[],
  answers: readonly WeeklyAnswer[],
  found: readonly Found[],
  sheet: ReadonlyMap<string, Item>,
  competences: readonly Competence[],
): WeighedAdvisories {
  const said = new Map(answers.flatMap((answer) => answer.advisories ?? []).map(({ defectId, now }) => [defectId, now]));
  const issues: AdvisoryIssue[] = [];
  const stays: Found[] = [];
  const gone = new Set<string>();
  for (const advisory of advisories) {
    // What is found at its part is found with it: the two are one defect, as grave as the graver.
    if (found.some((finding) => isOf(finding, advisory))) continue;
    const index = answers.findIndex(({ itemId }) => itemId === askedAt(advisory, sheet));
    const ask = (message: string) => issues.push({ index: index === -1 ? null : index, field: "advisories", message });
    const now = said.get(advisory.id);
    if (now === "stays") stays.push(...seenAgain(advisory));
    else if (now === "worse") ask(`say what is seen now where ${advisory.id} is worse`);
    else if (now === undefined) ask(`say of the advisory ${advisory.id} whether it stays, is gone, or is worse`);
    else if (competences.includes(advisory.competence)) gone.add(advisory.id);
    else ask(`to close ${advisory.id} takes the competence ${advisory.competence}: say that it stays`);
  }
  return { issues, stays, gone };
}

/** A sighting of it; none where it names no item, by which it would be found again: then the answer says it. */
const seenAgain = ({ itemId, ...advisory }: OpenDefect): Found[] => {
  if (itemId === null) return [];
  const { observationIds, category, competence, quantity, onlyNewPart } = advisory;
  return [
    {
      ...{ itemId, observationIds, category, competence, quantity, onlyNewPart },
      ...{ secondPerson: ofItemOf({ itemId, ...advisory }), note: null, index: -1 },
    },
  ];
};
