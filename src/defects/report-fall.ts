import type { FallReceipt, ReportFallBody } from "../../shared/contracts/falls.ts";
import { takeFall } from "../../shared/rules/fall.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry } from "../acts/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import type { Actor, TakenAnyway } from "../platform/index.ts";

/**
 * Records that a machine fell or was in a collision. It is grounded from now until a weekly inspection made after the fall. Taken from
 * anybody of the firm who may report, about any of its machines, however late. Throws what actOnMachine throws.
 */
export async function reportFall(
  context: AppContext,
  actor: Actor,
  machineId: string,
  body: ReportFallBody,
  mended?: TakenAnyway,
): Promise<{ receipt: FallReceipt; repeated: boolean }> {
  const submitted = { ...body, machineId };
  const said = { happenedAt: new Date(body.happenedAt), odometerKm: body.odometerKm };
  const submission = { id: body.id, kinds: ["machine-fell" as const], body: submitted, performedAt: said.happenedAt, mended };
  const photoIds = body.photoIds ?? [];
  const photos = await lookUpPhotos(context, actor, photoIds);
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, submission }, (facts, recordedAt, sender) => {
    const depotRules = depotRulesOf(facts);
    const { state, happenedAt, flags, inspectedBetween } = takeFall(facts.state, body.id, said, recordedAt, depotRules);
    const outcome = {
      ...standingAt(state, recordedAt, depotRules),
      flags: [...flags, ...sender.flags, ...awaitedFlags(photoIds, photos)],
      inspectedBetween,
    };
    const data = { submitted, photos: namedPhotos(photoIds, photos), outcome, ...sender.noted };
    return {
      entries: [{ id: body.id, kind: "machine-fell", performedAt: happenedAt, data }],
      state,
      rows: [usesOf(photoIds, { entryId: body.id, machineId, defectId: null, staffId: actor.staffId })],
    };
  });
  await hangArrived(context, actor, { entry, ids: photoIds });
  return { receipt: receiptOf(entry), repeated };
}

/** The answer, made from the entry alone: the same the first time and every time it is sent again. */
function receiptOf({ id, data, staffId, performedAt, recordedAt }: KnownEntry<"machine-fell">): FallReceipt {
  const { submitted, outcome } = data;
  const { machineId, hit, bent = [], note = null, odometerKm = null } = submitted;
  const { standing, reasons, flags, inspectedBetween } = outcome;
  return {
    fall: {
      ...{ id, machineId, staffId: staffId ?? "", happenedAt: performedAt.toISOString(), recordedAt: recordedAt.toISOString() },
      ...{ hit, bent: [...bent], note, odometerKm },
    },
    machine: { id: machineId, standing, reasons: reasons.map((reason) => sayReason(reason)) },
    ...{ inspectedBetween, flags: [...flags] },
    caution: word("caution.line"),
  };
}
