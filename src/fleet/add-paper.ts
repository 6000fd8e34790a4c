import type { Paper, PaperBody } from "../../shared/contracts/fleet.ts";
import { withPaper } from "../../shared/rules/papers.ts";
import type { Actor, House } from "../platform/index.ts";
import { actOnMachine } from "../readiness/index.ts";
import { paperSummary } from "./paper-summary.ts";

/** Records a paper of a machine. Throws `not-found`, `other-depot`. */
export async function addPaper(house: House, actor: Actor, machineId: string, body: PaperBody): Promise<Paper> {
  const id = house.newId();
  const { entry } = await actOnMachine(house, { machineId, actor }, (facts, recordedAt) => ({
    entries: [{ id, kind: "paper-added", performedAt: recordedAt, data: body }],
    state: withPaper(facts.state, body),
    rows: { papers: [{ id, machineId, ...body, recordedAt }] },
  }));
  return paperSummary({ id, machineId, ...body, recordedAt: entry.recordedAt.toISOString(), ending: null }, actor);
}
