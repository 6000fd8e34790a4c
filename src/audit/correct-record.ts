// A record is never changed. Whoever finds a mistake in it adds an entry that points at it; both are shown side by side.

import type { CorrectionBody, ShownRecord } from "../../shared/contracts/records.ts";
import { holds, onlyRides } from "../../shared/rules/roles.ts";
import { type AppContext, actOnMachine, recordOnce, wasRecorded } from "../acts/index.ts";
import { appendToFirm, type NewEntry, recordForgotten, recording, type StoredEntry } from "../ledger/index.ts";
import type { Actor } from "../platform/index.ts";
import { auditErrors } from "./errors.ts";
import { correctionOf, showRecord } from "./show-record.ts";

/**
 * Records that something in a record is wrong, and what is right. It changes no standing, defect or odometer: each of those is changed by an
 * act of its own. Throws `not-your-record`, `pointer-unknown`, `id-reused`, `record-forgotten`.
 */
export function correctRecord(context: AppContext, actor: Actor, record: StoredEntry, body: CorrectionBody): Promise<Corrected> {
  return recordOnce(() => correct(context, actor, record, body));
}

async function correct(context: AppContext, actor: Actor, record: StoredEntry, body: CorrectionBody): Promise<Corrected> {
  const ask = context.db.rows;
  mustBeTheirs(actor, record);
  const { id: recordId, data } = record;
  if (data === null) throw recordForgotten();
  const submitted = { ...body, corrects: recordId };
  if (await wasRecorded(ask, actor, { id: body.id, kind: "record-corrected", submitted }))
    return { receipt: await showRecord(context, record), repeated: true };
  const was = body.pointer === undefined ? null : valueAt(data, body.pointer);
  const act = (performedAt: Date): NewEntry => ({
    id: body.id,
    kind: "record-corrected",
    performedAt,
    data: { corrects: recordId, submitted, was },
  });
  // Read before the correction is written: afterwards nothing may fail that the answer needs.
  const shown = await showRecord(context, record);
  const corrected = (recordedAt: Date): ShownRecord => ({
    ...shown,
    corrections: [...shown.corrections, correctionOf(recordId, { id: body.id, staffId: actor.staffId, recordedAt, submitted, was })],
  });
  if (record.machineId === null) {
    const recordedAt = context.clock.now();
    await recording(context, (tx) =>
      appendToFirm(context, tx, { staffId: actor.staffId, depotId: record.depotId, recordedAt }, [act(recordedAt)]),
    );
    return { receipt: corrected(recordedAt), repeated: false };
  }
  const submission = { id: body.id, kinds: ["record-corrected"] as const, body: submitted };
  const { entry, repeated } = await actOnMachine(context, { machineId: record.machineId, actor, submission }, (facts, recordedAt) => ({
    entries: [act(recordedAt)],
    state: facts.state,
  }));
  return { receipt: repeated ? await showRecord(context, record) : corrected(entry.recordedAt), repeated };
}

interface Corrected {
  readonly receipt: ShownRecord;
  readonly repeated: boolean;
}

/**
 * The answer shows the record, so nobody may correct what they may not read: a rider may not correct what others recorded, nor a mechanic
 * what belongs to the firm and to no machine. Throws `not-your-record`.
 */
function mustBeTheirs(actor: Actor, { staffId, machineId }: StoredEntry): void {
  if (staffId === actor.staffId || holds(actor, "manager")) return;
  if (onlyRides(actor)) {
    throw auditErrors.problem("not-your-record", "A rider corrects what the same rider recorded. Tell a mechanic or the manager.");
  }
  if (machineId === null) {
    throw auditErrors.problem("not-your-record", "A mechanic corrects records of machines. This one is the firm's: tell the manager.");
  }
}

/** The value that a JSON Pointer (RFC 6901) names in what a record says. Throws `pointer-unknown`. */
function valueAt(data: unknown, pointer: string): unknown {
  let value: unknown = data;
  for (const part of pointer.slice(1).split("/")) {
    const name = part.replaceAll("~1", "/").replaceAll("~0", "~");
    if (value === null || typeof value !== "object" || !Object.hasOwn(value, name))
      throw auditErrors.problem("pointer-unknown", `The record has no value at ${pointer}.`, {
        issues: [{ pointer: "/pointer", message: "names no value of the record" }],
      });
    value = Reflect.get(value, name);
  }
  return value;
}
