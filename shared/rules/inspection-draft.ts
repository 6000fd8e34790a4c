// An inspection that is not finished: what it comes to so far, and what is still missing. Nothing of it counts until it is submitted.

import type { InspectionDraftBody, WeeklyAnswer } from "../contracts/checks.ts";
import type { Competence } from "../contracts/common.ts";
import { advisoriesAt, weighAdvisories } from "./advisories.ts";
import { weighAnswers } from "./answers.ts";
import { type Guidance, guidanceFor } from "./guidance.ts";
import { withOilChange, withServices } from "./machine-state.ts";
import { itemsToFinish } from "./put-right.ts";
import { readingIssues } from "./reading-issues.ts";
import { secondPersonOf } from "./second-person.ts";
import { type Found, findingsOf } from "./seen-and-measured.ts";
import { servicedItems, servicesAt } from "./services.ts";
import type { ItemVerdict } from "./verdict.ts";
import {
  type InspectedMachine,
  type InspectionIssue,
  oilAt,
  oilWasChanged,
  sheetOfVersion,
  verdictOf,
  waiting,
} from "./weekly-inspection.ts";

/**
 * A draft that was not saved for this many days is of no use: the machine has changed by then, and two weekly inspections have come due.
 */
export const DRAFT_DAYS = 14;

export interface ReviewedDraft {
  /** null for the index: about the sheet as a whole */
  readonly issues: readonly (InspectionIssue | { readonly index: null; readonly field: "odometerKm"; readonly message: string })[];
  readonly verdicts: readonly ItemVerdict[];
  /** what would open as a defect if it were submitted by the one who asks */
  readonly found: readonly Found[];
  readonly guidance: readonly Guidance[];
}

/** Reviews a draft at `at`, for an inspector with these competences. An answer without a result has not been given yet. */
export function reviewDraft(
  machine: InspectedMachine,
  draft: Pick<InspectionDraftBody, "sheetVersion" | "odometerKm" | "answers">,
  at: Date,
  competences: readonly Competence[],
): ReviewedDraft {
  const { features, handbook, depotRules } = machine;
  const sheet = sheetOfVersion(features, draft.sheetVersion);
  const answers = draft.answers.map((answer): WeeklyAnswer => ({ ...answer, result: answer.result ?? "not-applicable" }));
  const weighed = weighAnswers("weekly", features, draft.sheetVersion, answers);
  const odd = answers.map((answer, index) => readingIssues(answer, index, sheet.get(answer.itemId), handbook));
  const verdicts = answers.flatMap((answer, index) => (odd[index]?.length ? [] : verdictOf(machine, answer, sheet.get(answer.itemId))));
  const odometerKm = draft.odometerKm ?? machine.state.odometerKm;
  const now = { ...machine.state, odometerKm };
  const oiled = oilWasChanged(features, answers) ? withOilChange(now, odometerKm, at.toISOString()) : now;
  const state = withServices(oiled, servicedItems(answers), odometerKm, at.toISOString());
  const fromAnswers = findingsOf(weighed.findings, verdicts, sheet);
  const found = [...fromAnswers, ...waiting(answers, verdicts, weighed.findings, sheet, competences, depotRules)];
  const advisories = weighAdvisories(advisoriesAt(state, at), answers, found, sheet, competences);
  const raised = found.map((finding) => ({ ...finding, ...secondPersonOf(finding.secondPerson, finding.category, depotRules) }));
  const noOdometer = { index: null, field: "odometerKm", message: "the odometer is needed" } as const;
  return {
    issues: [...(draft.odometerKm === undefined ? [noOdometer] : []), ...weighed.issues, ...odd.flat(), ...advisories.issues],
    verdicts,
    found,
    guidance: guidanceFor({
      features,
      handbook,
      verdicts,
      raised,
      oil: oilAt({ features, handbook, state, depotRules }, at),
      services: servicesAt({ features, handbook, state, depotRules }, at),
      toFinish: itemsToFinish(answers, sheet),
      competences,
    }),
  };
}
