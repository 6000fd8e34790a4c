import type { MachineModel, ModelRevisionBody } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, mustMatch, notValid } from "../platform/index.ts";
import { modelNameTaken } from "./add-model.ts";
import { fleetErrors } from "./errors.ts";
import { modelIssues } from "./rules.ts";
import { noModel } from "./show-model.ts";
import { findModel, isModelNameTaken, writeRevision } from "./store.ts";

/**
 * Puts new figures in the place of the revision that was read; both stand in the record, since inspections are judged by them.
 * Throws `not-valid`, `not-found`, `stale-revision`, `name-taken`, `changed-meanwhile`.
 */
export async function reviseModel(
  context: AppContext,
  actor: Actor,
  id: string,
  body: ModelRevisionBody,
  ifMatch?: string,
): Promise<MachineModel> {
  const issues = modelIssues(body);
  if (issues.length > 0) throw notValid(issues);
  const { revision, ...figures } = body;
  const recordedAt = context.clock.now();
  return recording(context, async (tx): Promise<MachineModel> => {
    const known = await findModel({ prisma: tx }, id);
    if (!known) throw noModel();
    mustMatch(ifMatch, known);
    if (!(await writeRevision(tx, id, revision, figures))) {
      throw fleetErrors.problem(
        "stale-revision",
        `You read revision ${revision}; the model is at another one. Read it again and repeat your change. Nothing was stored.`,
      );
    }
    const { name, engineCc, features, handbook } = known;
    const before = { name, engineCc, features, handbook };
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt }, [
      {
        id: context.newId(),
        kind: "model-revised",
        performedAt: recordedAt,
        data: { modelId: id, revision: revision + 1, before, after: figures },
      },
    ]);
    return { ...known, ...figures, revision: revision + 1 };
  }).catch((error: unknown) => {
    throw isModelNameTaken(error) ? modelNameTaken(body.name) : error;
  });
}
