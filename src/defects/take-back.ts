import type { TakeBackBody, TakeBackReceipt } from "../../shared/contracts/outside-work.ts";
import { type Back, type BackRefusal, takenBack } from "../../shared/rules/away.ts";
import { clockFlags } from "../../shared/rules/field-record.ts";
import type { OpenDefect } from "../../shared/rules/machine-state.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry, type MachineFacts } from "../acts/index.ts";
import { mustBeOfTheFleet } from "../fleet/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import { noCurrency } from "../parts/index.ts";
import { awaitedFlags, hangArrived, lookUpPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import { type Actor, type ProblemError, platformErrors } from "../platform/index.ts";
import { defectErrors, refusal } from "./errors.ts";
import { findOutsideWork } from "./outside-store.ts";
import { changeOf, defectChangeRows, defectEventRows } from "./row-store.ts";

type Taken = Extract<Back, { readonly refused: null }>;

/**
 * Records that a machine is back from another workshop, and what was done there. Each open defect that they repaired then waits for a sign-off.
 * Throws `not-found`, `not-away`, `defect-closed`, `new-part-needed`, `machine-disposed`, `no-currency`, and what actOnMachine throws.
 */
export async function takeBack(
  context: AppContext,
  actor: Actor,
  workId: string,
  body: TakeBackBody,
): Promise<{ receipt: TakeBackReceipt; repeated: boolean }> {
  const work = await findOutsideWork(context.db, workId);
  if (!work) throw platformErrors.problem("not-found", "There is no stay at another workshop with this id.");
  const { machineId } = work;
  const submitted = { ...body, workId };
  const said = new Date(body.returnedAt);
  const submission = { id: body.id, kinds: ["machine-taken-back" as const], body: submitted, performedAt: said };
  const { photoIds = [] } = body;
  const photos = await lookUpPhotos(context, actor, photoIds);
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, submission }, (facts, recordedAt, sender) => {
    mustBeOfTheFleet(facts);
    const { currency } = facts.policy;
    if (body.costMinor !== undefined && currency === null) throw noCurrency();
    const workshop = facts.state.away?.workshop ?? "";
    const ids = (body.repaired ?? []).map(() => context.newId());
    const back = decide(facts, workId, body, { ids, staffId: actor.staffId }, recordedAt);
    const { state, returnedAt, repaired, inspectionDue } = back;
    const depotRules = depotRulesOf(facts);
    const flags = [...clockFlags(said, recordedAt, depotRules), ...sender.flags, ...awaitedFlags(photoIds, photos)];
    const outcome = { ...standingAt(state, recordedAt, depotRules), flags, workshop, inspectionDue };
    const repairs = repairEntries(body, { ids, workshop, returnedAt, repaired });
    const about = { machineId, kind: "repair" as const, staffId: actor.staffId, performedAt: returnedAt, recordedAt };
    return {
      entries: [
        {
          id: body.id,
          kind: "machine-taken-back",
          performedAt: returnedAt,
          data: {
            submitted,
            ...(body.costMinor === undefined || currency === null ? {} : { currency }),
            ...{ photos: namedPhotos(photoIds, photos), outcome },
          },
        },
        ...repairs,
      ],
      state,
      rows: [
        usesOf(photoIds, { entryId: body.id, machineId, defectId: null, staffId: actor.staffId }),
        defectChangeRows(repaired.map(changeOf)),
        defectEventRows(repaired.map((defect, at) => ({ ...about, id: ids[at] ?? "", defectId: defect.id }))),
      ],
    };
  });
  await hangArrived(context, actor, { entry, ids: photoIds });
  return { receipt: receiptOf(entry), repeated };
}

function decide(
  facts: MachineFacts,
  workId: string,
  { returnedAt, workDone, repaired = [] }: TakeBackBody,
  { ids, staffId }: { readonly ids: readonly string[]; readonly staffId: string },
  recordedAt: Date,
): Taken {
  const there = repaired.map(({ defectId, parts = [] }, at) => ({ id: ids[at] ?? "", defectId, partsNamed: parts.length }));
  const said = { returnedAt: new Date(returnedAt), staffId, otherWork: workDone !== undefined, repaired: there };
  const back = takenBack(facts.state, workId, said, recordedAt);
  if (back.refused !== null) throw refused(back.refused);
  return back;
}

const refused = (code: BackRefusal): ProblemError =>
  code === "not-away" ? defectErrors.problem("not-away", "It was taken back before. Nothing was stored.") : refusal(code);

interface RepairsThere {
  readonly ids: readonly string[];
  readonly workshop: string;
  readonly returnedAt: Date;
  readonly repaired: readonly OpenDefect[];
}

/** The entry of each repair, worded like one that was recorded by hand. */
const repairEntries = (body: TakeBackBody, { ids, workshop, returnedAt, repaired }: RepairsThere): NewEntry<"defect-repaired">[] =>
  repaired.map(({ id: defectId, status, category, dueDay }, at) => {
    const { workDone = word("course.repaired-there"), parts } = body.repaired?.[at] ?? {};
    const id = ids[at] ?? "";
    const performedAt = returnedAt.toISOString();
    const submitted = { id, defectId, performedAt, workDone, ...(parts === undefined ? {} : { parts }) };
    const outcome = { defect: { id: defectId, status, category, dueDay } };
    return {
      id,
      kind: "defect-repaired",
      performedAt: returnedAt,
      data: { defectId, submitted, outside: { id: body.id, workshop }, outcome },
    };
  });

/** The answer, made from the entry alone. */
function receiptOf({ id, machineId, data, staffId, performedAt, recordedAt }: KnownEntry<"machine-taken-back">): TakeBackReceipt {
  const { submitted, outcome } = data;
  const { standing, reasons, flags, workshop, inspectionDue } = outcome;
  return {
    return: {
      ...{ id, workId: submitted.workId, staffId: staffId ?? "", workshop, inspectionDue },
      ...{ returnedAt: performedAt.toISOString(), recordedAt: recordedAt.toISOString() },
      ...doneThere(data),
    },
    machine: { id: machineId ?? "", standing, reasons: reasons.map((reason) => sayReason(reason)) },
    flags: [...flags],
    caution: word("caution.line"),
  };
}

type Parts = readonly { readonly name: string; readonly quantity: number; readonly number?: string | undefined }[];
const asTold = (parts: Parts | undefined) =>
  (parts ?? []).map(({ name, quantity, number }) => ({ name, quantity, ...(number === undefined ? {} : { number }) }));

/** What was done there, as answers say it. */
export const doneThere = ({ submitted: { workDone, parts, repaired, costMinor }, currency }: KnownEntry<"machine-taken-back">["data"]) => ({
  workDone: workDone ?? null,
  parts: asTold(parts),
  repaired: (repaired ?? []).map((one) => ({ defectId: one.defectId, workDone: one.workDone ?? null, parts: asTold(one.parts) })),
  invoice: costMinor === undefined || currency === undefined ? null : { costMinor, currency },
});
