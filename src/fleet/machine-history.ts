import { z } from "zod";
import type { HistoryEntry } from "../../shared/contracts/fleet.ts";
import type { SecretBeside } from "../../shared/contracts/people.ts";
import { isSigned } from "../../shared/rules/secret.ts";
import type { AppContext } from "../acts/index.ts";
import { sentenceOf } from "../ledger/index.ts";
import { besideAct, type NamedPerson, namesOf, secretsSetBefore } from "../people/index.ts";
import { cursorFrom, pageFrom } from "../platform/index.ts";
import { momentAsked } from "../readiness/index.ts";
import { entriesBefore, type HistoryRow } from "./store.ts";

const placeSchema = z.tuple([z.string().regex(/^\d{1,9}$/)]);

/** Everything that had happened to a machine by a moment (now without one), newest first. Throws `not-valid`. */
export async function machineHistory(
  context: AppContext,
  machineId: string,
  { limit, cursor, at }: { limit: number; cursor?: string | undefined; at?: string | undefined },
) {
  const before = cursorFrom(cursor, placeSchema)?.[0];
  const moment = momentAsked(context.clock.now(), at);
  const rows = await entriesBefore(context.db, machineId, before === undefined ? null : Number(before), limit + 1, moment);
  const [names, secrets] = await Promise.all([
    namesOf(
      context.db,
      rows.flatMap(({ staffId }) => staffId ?? []),
    ),
    secretsSetBefore(
      context.db,
      rows.filter(({ kind }) => isSigned(kind)),
    ),
  ]);
  return pageFrom(
    rows,
    limit,
    (row) => [String(row.position)],
    (row) => ({ ...historyEntry(row, row.staffId === null ? undefined : names.get(row.staffId)), ...besideAct(secrets.get(row.id)) }),
  );
}

const historyEntry = (row: HistoryRow, person: NamedPerson | undefined): Omit<HistoryEntry, keyof SecretBeside> => ({
  ...row,
  staffNumber: person?.staffNumber ?? null,
  staffName: person?.name ?? null,
  sentence: sentenceOf(row.kind),
  performedAt: row.performedAt.toISOString(),
  recordedAt: row.recordedAt.toISOString(),
});
