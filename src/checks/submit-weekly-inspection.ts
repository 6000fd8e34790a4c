// The weekly inspection: readings judged against handbook and law, what stays wrong becomes a defect, and the days to the next inspection
// start again.
import type { WeeklyInspectionBody, WeeklyInspectionReceipt } from "../../shared/contracts/checks.ts";
import type { Said } from "../../shared/records/index.ts";
import { guidanceFor } from "../../shared/rules/guidance.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { judgeWeeklyInspection } from "../../shared/rules/weekly-inspection.ts";
import { word } from "../../shared/words/index.ts";
import { sayGuidance } from "../../shared/words/say-guidance.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry, withKnownOdometer } from "../acts/index.ts";
import { defectErrors, defectsAsTheyStand, writeRaised, writeSettled } from "../defects/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import type { Actor, Database, TakenAnyway } from "../platform/index.ts";
import { type InWords, withoutWords, wordsIfRead } from "../readiness/index.ts";
import { measuredBy } from "./measured-by.ts";
import { notWhole } from "./not-whole.ts";
import { draftsDone, weeklyInspectionRows } from "./row-store.ts";
import { sheetSha256 } from "./sheet-versions.ts";

/**
 * Judges and records an inspection, which is signed by whoever submits it. Throws `competence-missing` for one who lacks `inspection`,
 * `inspection-not-whole`, and what actOnMachine throws.
 */
export async function submitWeeklyInspection(
  context: AppContext,
  actor: Actor,
  sent: WeeklyInspectionBody,
  mended?: TakenAnyway,
): Promise<{ receipt: WeeklyInspectionReceipt; repeated: boolean }> {
  const submission = { id: sent.id, kinds: ["weekly-inspection"] as const, body: sent, performedAt: new Date(sent.performedAt), mended };
  const photoIds = sent.answers.flatMap((answer) => answer.photoIds ?? []);
  const [photos, measured] = await Promise.all([lookUpPhotos(context, actor, photoIds), measuredBy(context.db, sent, actor.staffId)]);
  const answeredBy = (itemId: string) => measured.find(({ itemIds }) => itemIds.includes(itemId))?.staffId ?? actor.staffId;
  const { entry, repeated } = await actOnMachine(context, { machineId: sent.machineId, actor, submission }, (facts, recordedAt, sender) => {
    if (!actor.competences.includes("inspection")) throw notYoursToSign();
    const { machine, model, depot } = facts;
    const body = withKnownOdometer(sent, sender, facts.state);
    const depotRules = depotRulesOf(facts);
    const { features, handbook, engineCc } = model;
    const inspected = { machineId: machine.id, state: facts.state, features, handbook, engineCc, ruleSet: depot.ruleSet, depotRules };
    const judged = judgeWeeklyInspection(inspected, body, { signer: actor, answeredBy }, recordedAt, context.newId);
    if (judged.refused !== null) throw notWhole("inspection-not-whole", judged.refused);
    const { performedAt, verdicts } = judged;
    const flags = [...judged.flags, ...sender.flags, ...awaitedFlags(photoIds, photos)];
    const about = { machineId: machine.id, depotId: machine.depotId, staffId: actor.staffId, recordedAt };
    const writing = writeRaised(
      judged.raised,
      { kind: "weekly-inspection", recordId: body.id, seenAt: performedAt, photos, ...about },
      context.newId,
    );
    const settling = writeSettled(judged.settled, { ...about, recordId: body.id, performedAt });
    const data: Said<"weekly-inspection"> = {
      submitted: body,
      sheetSha256: sheetSha256(body.sheetVersion),
      measuredBy: measured,
      photos: namedPhotos(photoIds, photos),
      ...sender.noted,
      modelRevision: model.revision,
      localDay: judged.localDay,
      grounded: judged.grounded,
      oilChangedAtKm: judged.oilChangedAtKm,
      ...(judged.serviced && { serviced: judged.serviced }),
      outcome: {
        flags,
        verdicts,
        defects: writing.outcomes,
        closed: settling.outcomes,
        guidance: guidanceAfter(judged, { features, handbook, competences: actor.competences }),
        ...standingAt(judged.state, recordedAt, depotRules),
      },
    };
    return {
      entries: [{ id: body.id, kind: "weekly-inspection", performedAt, data }, ...settling.entries, ...writing.entries],
      state: judged.state,
      rows: [
        ...settling.rows,
        ...writing.rows,
        // Defects whose last day the inspection brought forward, where it did not see them again as well.
        defectsAsTheyStand(judged.state, ({ id }) => judged.moved.includes(id) && !writing.seenAgain.includes(id)),
        usesOf(photoIds, { entryId: body.id, machineId: machine.id, defectId: null, staffId: actor.staffId }),
        draftsDone([{ id: body.id, machineId: machine.id }]),
        weeklyInspectionRows([
          {
            id: body.id,
            ...about,
            localDay: judged.localDay,
            performedAt,
            odometerKm: body.odometerKm,
            defectCount: writing.outcomes.length,
            flags,
          },
        ]),
      ],
    };
  });
  await hangArrived(context, actor, { entry, ids: photoIds });
  return { receipt: await inspectionReceiptInWords(context.db, entry), repeated };
}

type Judged = Extract<ReturnType<typeof judgeWeeklyInspection>, { refused: null }>;

/** What to do after the inspection, for whoever signs it. */
const guidanceAfter = (
  { verdicts, raised, oil, services, toFinish }: Judged,
  by: Pick<Parameters<typeof guidanceFor>[0], "features" | "handbook" | "competences">,
) =>
  guidanceFor({
    ...by,
    ...{ verdicts, oil, services, toFinish },
    raised: raised.map(({ defect, repair }) => ({ ...defect, repaired: repair !== null })),
  });

const notYoursToSign = () =>
  defectErrors.problem(
    "competence-missing",
    "A weekly inspection is signed by a mechanic with the competence inspection. Save it as a draft for one who holds it, who reads it and submits it with both names. Report at once what grounds the machine. Nothing was stored.",
  );

/** The receipt with the words of defects that name no item. */
export async function inspectionReceiptInWords(db: Database, entry: KnownEntry<"weekly-inspection">): Promise<WeeklyInspectionReceipt> {
  return weeklyInspectionReceipt(entry, await wordsIfRead(db, entry.data.outcome.reasons));
}

/** The receipt of an inspection from its entry. */
export function weeklyInspectionReceipt(entry: KnownEntry<"weekly-inspection">, inWords: InWords = withoutWords): WeeklyInspectionReceipt {
  const { submitted, sheetSha256, modelRevision, measuredBy: measured = [], outcome } = entry.data;
  return {
    inspection: {
      id: entry.id,
      machineId: submitted.machineId,
      staffId: entry.staffId ?? "",
      measuredBy: measured.map(({ staffId, itemIds }) => ({ staffId, itemIds: [...itemIds] })),
      sheetVersion: submitted.sheetVersion,
      sheetSha256: sheetSha256 ?? null,
      performedAt: entry.performedAt.toISOString(),
      recordedAt: entry.recordedAt.toISOString(),
      odometerKm: submitted.odometerKm,
      modelRevision,
      answers: submitted.answers.map(({ observationIds, photoIds, places, actions, advisories, ...answer }) => ({
        ...answer,
        observationIds: observationIds && [...observationIds],
        photoIds: photoIds && [...photoIds],
        places: places && [...places],
        actions: actions && [...actions],
        advisories: advisories && [...advisories],
      })),
      verdicts: [...outcome.verdicts],
      flags: [...outcome.flags],
      defectIds: outcome.defects.map((defect) => defect.id),
    },
    standing: outcome.standing,
    reasons: inWords(outcome.reasons).map((reason) => sayReason(reason)),
    defects: outcome.defects.map((defect) => ({ ...defect, observationIds: [...defect.observationIds] })),
    closed: (outcome.closed ?? []).map((one) => ({ ...one })),
    guidance: outcome.guidance.map((one) => sayGuidance(one)),
    caution: word("caution.line"),
  };
}
