// A campaign's job on one machine: an open defect whose category and last day the campaign gives. Pure.
import { type Reported, taken } from "./findings.ts";
import type { MachineState, OfCampaign, OpenDefect } from "./machine-state.ts";
import type { DepotRules } from "./standing.ts";

export interface CampaignTerms extends OfCampaign {
  /** a machine stands still until its job is signed off; else it may be ridden until the last day */
  readonly grounds: boolean;
  readonly dueDay: string;
}

/**
 * The state with the campaign's job in it. It names no item, so nothing that anybody sees later is taken for it. A machine that comes after
 * the last day stands still from the start.
 */
export function openJob(
  state: MachineState,
  { id: campaignId, name, grounds, dueDay }: CampaignTerms,
  id: string,
  now: Date,
  depotRules: DepotRules,
): Reported {
  const at = now.toISOString();
  const defect: OpenDefect = {
    ...{ id, itemId: null, observationIds: [], status: "open", seenAt: at, lastSeenAt: at, sightings: 1, repair: null },
    ...(grounds ? { category: "major", dueDay: null } : { category: "minor", dueDay }),
    ...{ competence: "general", secondPerson: false, quantity: null, onlyNewPart: false },
    campaign: { id: campaignId, name },
  };
  const opened = taken({ ...state, defects: [...state.defects, defect] }, defect, now, depotRules);
  return { kind: "raised", ...opened, recurringOf: null, signedOffBetween: null };
}
