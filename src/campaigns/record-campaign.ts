import { isOfRider, itemById } from "../../shared/catalogue/sheet.ts";
import type { AddCampaignBody } from "../../shared/contracts/campaigns.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { type AppContext, recordOnce, wasRecorded } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type ActingPerson, mustSeeDepot, notValid, type ProblemIssue } from "../platform/index.ts";
import { insertCampaign, type NamedRow, readNamed } from "./campaign-store.ts";
import { campaignErrors } from "./errors.ts";

/** Records a campaign with its row, and opens nothing yet. Answers whether the same was recorded before. Throws what `addCampaign` says. */
export function recordCampaign(context: AppContext, actor: ActingPerson, body: AddCampaignBody): Promise<boolean> {
  return recordOnce(() => record(context, actor, body));
}

function record(context: AppContext, actor: ActingPerson, body: AddCampaignBody): Promise<boolean> {
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    if (await wasRecorded(ask, actor, { id: body.id, kind: "campaign-added", submitted: body })) return true;
    const over = { modelIds: body.modelIds ?? [], machineIds: body.machineIds ?? [], depotIds: actor.depotIds };
    const named = await readNamed(ask, over);
    const at = context.clock.now();
    mustMakeSense(actor, body, named, at);
    const data = { submitted: body, depotIds: actor.depotIds, machines: named.machinesCovered };
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: at }, [
      { id: body.id, kind: "campaign-added", performedAt: at, data },
    ]);
    const { id, name, itemId = null, job, grounds, dueDay } = body;
    await insertCampaign(ask, { ...over, id, name, itemId, job, grounds, dueDay, by: actor.staffId, at });
    return false;
  });
}

function mustMakeSense(actor: ActingPerson, body: AddCampaignBody, named: NamedRow, now: Date): void {
  const issues: ProblemIssue[] = [];
  const models = new Set(named.models);
  const machines = new Map(named.machines.map((machine) => [machine.id, machine]));
  body.modelIds?.forEach((id, index) => {
    if (!models.has(id)) issues.push({ pointer: `/modelIds/${index}`, message: "is the id of no model" });
  });
  body.machineIds?.forEach((id, index) => {
    const machine = machines.get(id);
    if (machine) mustSeeDepot(actor, machine.depotId);
    if (!machine) issues.push({ pointer: `/machineIds/${index}`, message: "is the id of no machine" });
    else if (!machine.isOfFleet) issues.push({ pointer: `/machineIds/${index}`, message: "was sold or scrapped" });
  });
  const item = body.itemId === undefined ? undefined : itemById(body.itemId);
  if (body.itemId !== undefined && (item === undefined || isOfRider(item)))
    issues.push({ pointer: "/itemId", message: "is no item that a sheet has of a machine" });
  // Where the day is over already at one of its depots, a machine there would stand still from the start.
  if (named.zones.some((zone) => body.dueDay < localDay(now, zone))) issues.push({ pointer: "/dueDay", message: "is over" });
  if (issues.length > 0) throw notValid(issues);
  if (named.machinesCovered === 0)
    throw campaignErrors.problem("campaign-covers-nothing", "No machine of your depots is of these models. Nothing was stored.");
}
