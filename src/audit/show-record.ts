import type { Correction, ShownRecord } from "../../shared/contracts/records.ts";
import { isSigned } from "../../shared/rules/secret.ts";
import type { AppContext } from "../acts/index.ts";
import { type Kind, type StoredEntry, sentenceOf } from "../ledger/index.ts";
import { besideAct, namesOf, secretsSetBefore } from "../people/index.ts";
import { type CorrectionRow, correctionsOf } from "../reports/index.ts";
import { placesCalled } from "./store.ts";

/** A record with what corrects it. */
export async function showRecord(context: AppContext, stored: StoredEntry): Promise<ShownRecord> {
  const { id, kind, machineId, depotId, staffId, performedAt, recordedAt, data, sha256 } = stored;
  const signed = isSigned(kind) ? [{ id, staffId, performedAt, recordedAt }] : [];
  const [corrections, places, people, secrets] = await Promise.all([
    correctionsOf(context.db, id),
    placesCalled(context.db, machineId, depotId),
    namesOf(context.db, staffId === null ? [] : [staffId]),
    secretsSetBefore(context.db, signed),
  ]);
  return {
    record: {
      ...{ id, kind, sentence: sentenceOf(kind as Kind), machineId, depotId, staffId, data, sha256 },
      performedAt: new Date(performedAt).toISOString(),
      recordedAt: new Date(recordedAt).toISOString(),
    },
    called: { ...places, staff: (staffId !== null && people.get(staffId)) || null },
    ...besideAct(secrets.get(id)),
    corrections: corrections.map((row) => correctionOf(id, row)),
  };
}

/** A correction as it is shown beside what it corrects. */
export const correctionOf = (corrects: string, { id, staffId, recordedAt, submitted, was }: CorrectionRow): Correction => ({
  ...{ id, corrects, pointer: submitted.pointer ?? null, was, right: submitted.right },
  ...{ reason: submitted.reason, staffId, recordedAt: new Date(recordedAt).toISOString() },
});
