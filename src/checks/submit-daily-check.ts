// The heart of the service: a rider's check, judged and recorded at once. A defect grounds the machine with this very record.
import type { DailyCheckBody, DailyCheckReceipt } from "../../shared/contracts/checks.ts";
import type { Said } from "../../shared/records/index.ts";
import { isQuick, judgeDailyCheck, type OfRider } from "../../shared/rules/daily-check.ts";
import type { Reason } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayPace } from "../../shared/words/say-pace.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry, type Sender, withKnownOdometer } from "../acts/index.ts";
import { writeRaised } from "../defects/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import type { Actor, Database, TakenAnyway } from "../platform/index.ts";
import { type InWords, withoutWords, wordsIfRead } from "../readiness/index.ts";
import { readBeforeCheck } from "./before-check-store.ts";
import { notWhole } from "./not-whole.ts";
import { dailyCheckRows } from "./row-store.ts";
import { sheetSha256 } from "./sheet-versions.ts";

/** Judges and records a check. Throws `check-not-whole` for one without defects that lacks answers, and what actOnMachine throws. */
export async function submitDailyCheck(
  context: AppContext,
  actor: Actor,
  sent: DailyCheckBody,
  mended?: TakenAnyway,
): Promise<{ receipt: DailyCheckReceipt; repeated: boolean }> {
  const submission = { id: sent.id, kinds: ["daily-check"] as const, body: sent, performedAt: new Date(sent.performedAt), mended };
  const photoIds = sent.answers.flatMap((answer) => answer.photoIds ?? []);
  const asked = { id: sent.id, machineId: sent.machineId, staffId: actor.staffId, performedAt: submission.performedAt };
  const [photos, before] = await Promise.all([
    lookUpPhotos(context, actor, photoIds),
    readBeforeCheck(context.db, { ...asked, now: context.clock.now() }),
  ]);
  const { entry, repeated } = await actOnMachine(context, { machineId: sent.machineId, actor, submission }, (facts, recordedAt, sender) => {
    const { machine, state, model } = facts;
    const body = withKnownOdometer(sent, sender, state);
    const { features, handbook, engineCc } = model;
    const judgedBy = { features, handbook, engineCc, ruleSet: facts.depot.ruleSet, depotRules: depotRulesOf(facts) };
    const checked = { machineId: machine.id, state, ...judgedBy, against: againstClearing(sender) };
    const judged = judgeDailyCheck(checked, body, actor, recordedAt, context.newId);
    if (judged.refused !== null) throw notWhole("check-not-whole", judged.refused);
    const { performedAt, clearance, rider, proof, pace, putRight } = judged;
    const flags = [...judged.flags, ...sender.flags, ...awaitedFlags(photoIds, photos)];
    const about = { machineId: machine.id, depotId: machine.depotId, staffId: actor.staffId, recordedAt };
    const writing = writeRaised(
      judged.raised,
      { kind: "daily-check", recordId: body.id, seenAt: performedAt, photos, ...about },
      context.newId,
    );
    const data: Said<"daily-check"> = {
      submitted: body,
      sheetSha256: sheetSha256(body.sheetVersion),
      photos: namedPhotos(photoIds, photos),
      ...sender.noted,
      outcome: { flags, clearance, defects: writing.outcomes, rider, proof, pace, putRight },
    };
    return {
      entries: [{ id: body.id, kind: "daily-check", performedAt, data }, ...writing.entries],
      state: judged.state,
      rows: [
        ...writing.rows,
        usesOf(photoIds, { entryId: body.id, machineId: machine.id, defectId: null, staffId: actor.staffId }),
        dailyCheckRows([
          {
            id: body.id,
            ...about,
            localDay: judged.localDay,
            performedAt,
            durationSeconds: body.durationSeconds,
            odometerKm: body.odometerKm,
            defectCount: writing.outcomes.length,
            decision: clearance.decision,
            validUntil: clearance.validUntil,
            flags,
          },
        ]),
      ],
    };
  });
  await hangArrived(context, actor, { entry, ids: photoIds });
  return { receipt: await checkReceiptInWords(context.db, entry, before), repeated };
}

/** Nobody of another depot is cleared to ride, nor is anybody by a check of which it is not known when it was made. */
function againstClearing({ ofDepot, flags }: Sender): Reason[] {
  const reasons: Reason[] = ofDepot === "never" ? [{ code: "other-depot" }] : [];
  return flags.includes("time-unreadable") ? [...reasons, { code: "check-unreadable" }] : reasons;
}

/** The receipt with the words of defects that name no item, and with what was known of the machine before. */
export async function checkReceiptInWords(
  db: Database,
  entry: KnownEntry<"daily-check">,
  before: DailyCheckReceipt["before"],
): Promise<DailyCheckReceipt> {
  const inWords = await wordsIfRead(db, entry.data.outcome.clearance.reasons);
  // Somebody of another depot is not told what was done there.
  return {
    ...dailyCheckReceipt(entry, inWords),
    before: entry.data.depotIdThen === undefined ? before : { putRight: [], checkedToday: null },
  };
}

/** The receipt of a check from its entry: the same the first time and every time after. */
export function dailyCheckReceipt(entry: KnownEntry<"daily-check">, inWords: InWords = withoutWords): Omit<DailyCheckReceipt, "before"> {
  const { submitted, sheetSha256, outcome } = entry.data;
  const { decision, validUntil, reasons } = outcome.clearance;
  return {
    check: {
      id: entry.id,
      machineId: submitted.machineId,
      staffId: entry.staffId ?? "",
      sheetVersion: submitted.sheetVersion,
      sheetSha256: sheetSha256 ?? null,
      performedAt: entry.performedAt.toISOString(),
      recordedAt: entry.recordedAt.toISOString(),
      durationSeconds: submitted.durationSeconds,
      odometerKm: submitted.odometerKm,
      answers: submitted.answers.map(({ observationIds, photoIds, ...answer }) => ({
        ...answer,
        observationIds: observationIds && [...observationIds],
        photoIds: photoIds && [...photoIds],
      })),
      proof: submitted.proof ?? null,
      odometerRead: submitted.odometerRead ?? null,
      flags: [...outcome.flags],
      defectIds: outcome.defects.map((defect) => defect.id),
      decision,
      validUntil,
    },
    clearance: { decision, validUntil, reasons: inWords(reasons).map((reason) => sayReason(reason)), caution: word("caution.line") },
    defects: outcome.defects.map((defect) => ({ ...defect, observationIds: [...defect.observationIds] })),
    putRight: (outcome.putRight ?? []).map((one) => ({ ...one, observationIds: [...one.observationIds] })),
    rider: copied(outcome.rider ?? { stopped: false, findings: [] }),
    proof: outcome.proof ?? null,
    took: outcome.pace === undefined ? null : { ...outcome.pace, quick: isQuick(outcome.pace), text: sayPace(outcome.pace) },
  };
}

const copied = ({ stopped, findings }: OfRider): DailyCheckReceipt["rider"] => ({
  stopped,
  findings: findings.map((one) => ({ ...one, observationIds: [...one.observationIds] })),
});
