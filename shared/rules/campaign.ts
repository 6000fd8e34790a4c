// A campaign's job on one machine: an open defect whose category and last day the campaign gives. Pure.
import { SHEET_VERSION } from "../catalogue/sheet.ts";
import { findingOf } from "./answers.ts";
import { type Reported, taken } from "./findings.ts";
import type { MachineState, OfCampaign, OpenDefect } from "./machine-state.ts";
import { secondPersonOf } from "./second-person.ts";
import type { DepotRules } from "./standing.ts";

export interface CampaignTerms extends OfCampaign {
  /** the item of the sheets whose competence signs, and which may ask for a second person; null: none */
  readonly itemId: string | null;
  /** a machine stands still until its job is signed off; else it may be ridden until the last day */
  readonly grounds: boolean;
  readonly dueDay: string;
}

const anyMechanic = { competence: "general", secondPerson: false } as const;

/**
 * The state with the campaign's job in it. The defect names no item, so nothing that anybody sees later is taken for it. A machine that comes after
 * the last day stands still from the start.
 */
export function openJob(
  state: MachineState,
  { id: campaignId, name, itemId, grounds, dueDay }: CampaignTerms,
  id: string,
  now: Date,
  depotRules: DepotRules,
): Reported {
  const at = now.toISOString();
  const { competence, secondPerson } = itemId === null ? anyMechanic : findingOf(itemId, [], SHEET_VERSION);
  const category = grounds ? "major" : "minor";
  const defect: OpenDefect = {
    ...{ id, itemId: null, observationIds: [], status: "open", seenAt: at, lastSeenAt: at, sightings: 1, repair: null },
    ...{ category, dueDay: grounds ? null : dueDay, competence, quantity: null, onlyNewPart: false },
    ...secondPersonOf(secondPerson, category, depotRules),
    campaign: { id: campaignId, name },
  };
  const opened = taken({ ...state, defects: [...state.defects, defect] }, defect, now, depotRules);
  return { kind: "raised", ...opened, recurringOf: null, signedOffBetween: null };
}
