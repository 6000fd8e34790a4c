import type { Paper, PaperBody } from "../../shared/contracts/papers.ts";
import { withPaper } from "../../shared/rules/papers.ts";
import { type AppContext, actOnMachine } from "../acts/index.ts";
import { hangArrived, lookUpPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import type { Actor } from "../platform/index.ts";
import { paperSummary } from "./paper-summary.ts";
import { paperRows } from "./row-store.ts";
import { mustBeOfTheFleet } from "./rules.ts";

/** Records a paper of a machine; sent again under the client's own id it is recorded once. Throws `not-found`, `other-depot`, `id-reused`, `machine-disposed`. */
export async function addPaper(
  context: AppContext,
  actor: Actor,
  machineId: string,
  body: PaperBody,
): Promise<{ receipt: Paper; repeated: boolean }> {
  const { id: given, photoIds = [], ...paper } = body;
  const id = given ?? context.newId();
  const submission = given === undefined ? {} : { submission: { id, kinds: ["paper-added" as const], body } };
  const arrived = await lookUpPhotos(context, actor, photoIds);
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, ...submission }, (facts, recordedAt) => {
    mustBeOfTheFleet(facts);
    const photos = photoIds.length === 0 ? {} : { photos: namedPhotos(photoIds, arrived) };
    const data = { ...paper, ...(given === undefined ? {} : { submitted: body }), ...photos };
    return {
      entries: [{ id, kind: "paper-added", performedAt: recordedAt, data }],
      state: withPaper(facts.state, paper),
      rows: [
        paperRows([{ id, machineId, ...paper, recordedAt }]),
        usesOf(photoIds, { entryId: id, machineId, defectId: null, staffId: actor.staffId }),
      ],
    };
  });
  await hangArrived(context, actor, { entry, ids: photoIds });
  const { kind, number, validFrom, validTo } = entry.data;
  const row = { id: entry.id, machineId, kind, number, validFrom, validTo, recordedAt: entry.recordedAt.toISOString(), ending: null };
  return { receipt: paperSummary(row, actor), repeated };
}
