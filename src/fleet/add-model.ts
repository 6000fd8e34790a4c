import type { MachineModel, ModelBody } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, notValid } from "../platform/index.ts";
import { fleetErrors } from "./errors.ts";
import { modelIssues } from "./rules.ts";
import { insertModel, isModelNameTaken } from "./store.ts";

/** Adds a model. Throws `not-valid` where it contradicts itself, `name-taken`. */
export async function addModel(context: AppContext, actor: Actor, body: ModelBody): Promise<MachineModel> {
  const issues = modelIssues(body);
  if (issues.length > 0) throw notValid(issues);
  const recordedAt = context.clock.now();
  const model: MachineModel = { id: context.newId(), ...body, revision: 1, addedAt: recordedAt.toISOString() };
  await recording(context, async (tx) => {
    await insertModel(tx, model);
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt }, [
      { id: context.newId(), kind: "model-added", performedAt: recordedAt, data: { modelId: model.id, ...body } },
    ]);
  }).catch((error: unknown) => {
    throw isModelNameTaken(error) ? modelNameTaken(body.name) : error;
  });
  return model;
}

export const modelNameTaken = (name: string) => fleetErrors.problem("name-taken", `There is a model called ${name}. Nothing was stored.`);
