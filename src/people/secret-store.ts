// Reading and writing of secrets and of what happened to them.
import { z } from "zod";
import { type SecretBeside, type SecretEvent, secretEventSchema } from "../../shared/contracts/people.ts";
import { besideHours, signedKinds } from "../../shared/rules/secret.ts";
import { type Database, type RowOf, statement, type Tx } from "../platform/index.ts";
import { liftLocks } from "./guess-store.ts";

/** A one-time code as it is stored: its hash and its end. */
export interface Code {
  readonly secretHash: string;
  readonly codeExpiresAt: Date;
}

/** Replaces the secret of a person whose row is locked by a one-time code, and lifts the locks that wrong guesses at the old one caused. */
export async function putCode(tx: Tx, id: string, { secretHash, codeExpiresAt }: Code): Promise<void> {
  await tx.staff.update({ where: { id }, data: { secretHash, codeExpiresAt } });
  await liftLocks(tx, id);
}

/** Replaces the secret that was just verified by the person's own choice; false if the secret changed or the session ended meanwhile. */
export async function putOwnSecret(tx: Tx, own: { id: string; sessionId: string; was: string; secretHash: string }): Promise<boolean> {
  const { count } = await tx.staff.updateMany({
    where: { id: own.id, secretHash: own.was, leftAt: null, sessions: { none: { id: own.sessionId, endedAt: { not: null } } } },
    data: { secretHash: own.secretHash, codeExpiresAt: null },
  });
  if (count > 0) await liftLocks(tx, own.id);
  return count > 0;
}

/** `id` is the id of the record that tells of it. */
export async function insertSecretEvent(
  tx: Tx,
  event: { readonly id: string; readonly staffId: string; readonly kind: SecretEvent["what"]; readonly at: Date },
): Promise<void> {
  await tx.secretEvent.create({ data: event });
}

const eventRows = statement(
  { what: secretEventSchema.shape.what, at: z.date(), staffNumber: z.string().nullable(), name: z.string().nullable() },
  `SELECT e.kind AS what, e.at, b.staff_number AS "staffNumber", b.name FROM secret_event e JOIN ledger l ON l.id = e.id
       LEFT JOIN staff b ON b.id = l.staff_id
     WHERE e.staff_id = $1::text::uuid ORDER BY e.at DESC, l.position DESC LIMIT $2::int`,
);

/** The last `most` events of a person's secret, newest first. */
export async function readSecretEvents(db: Database, staffId: string, most: number): Promise<SecretEvent[]> {
  const rows = await db.rows(eventRows, [staffId, most]);
  return rows.map(({ what, at, staffNumber, name }) => ({
    what,
    at: at.toISOString(),
    by: staffNumber === null || name === null ? null : { staffNumber, name },
  }));
}

/**
 * SQL that is joined to a row of something signed, given the names of that row's columns; it adds `secret.set_at`, `secret.set_by` and
 * `secret.chosen_at`. Both moments of an act count, its arrival and the one that its sender gives, so that nobody can date an act out of that day.
 */
export const secretSetJoin = (
  act: { readonly staffId: string; readonly performedAt: string; readonly recordedAt: string },
  only = "true",
): string => {
  const within = (at: string): string => `(happened.at <= ${at} AND happened.at >= ${at} - interval '${besideHours} hours')`;
  return `LEFT JOIN LATERAL (
    SELECT was_set.at AS set_at, setting.staff_id AS set_by, chosen.at AS chosen_at
    FROM secret_event happened
    JOIN LATERAL (SELECT id, at FROM secret_event WHERE staff_id = happened.staff_id AND kind = 'set' AND at <= happened.at ORDER BY at DESC LIMIT 1) was_set ON true
    JOIN ledger setting ON setting.id = was_set.id
    LEFT JOIN LATERAL (SELECT at FROM secret_event
      WHERE staff_id = happened.staff_id AND kind = 'chosen' AND at >= was_set.at AND at <= ${act.recordedAt} ORDER BY at LIMIT 1) chosen ON true
    WHERE ${only} AND happened.staff_id = ${act.staffId} AND happened.kind <> 'changed' AND (${within(act.performedAt)} OR ${within(act.recordedAt)})
    ORDER BY happened.at DESC LIMIT 1) secret ON true`;
};

/** SQL condition: the record is of a kind that counts as somebody's signature. */
export const signedOnly = (kind: string): string => `${kind} IN (${signedKinds.map((one) => `'${one}'`).join(", ")})`;

const secretSetRows = statement(
  {
    ...{ id: z.guid(), setAt: z.date() },
    /** as they are called now; null: at the founding of the firm */
    setBy: z.strictObject({ staffId: z.guid(), staffNumber: z.string(), name: z.string() }).nullable(),
    /** when a secret was chosen in its place; null where none was yet */
    chosenAt: z.date().nullable(),
  },
  `SELECT a.id, secret.set_at AS "setAt", secret.chosen_at AS "chosenAt",
       CASE WHEN b.id IS NOT NULL THEN jsonb_build_object('staffId', b.id, 'staffNumber', b.staff_number, 'name', b.name) END AS "setBy"
     FROM jsonb_to_recordset($1::text::jsonb) AS a (id uuid, "staffId" uuid, "performedAt" timestamptz, "recordedAt" timestamptz)
     ${secretSetJoin({ staffId: 'a."staffId"', performedAt: 'a."performedAt"', recordedAt: 'a."recordedAt"' })}
     LEFT JOIN staff b ON b.id = secret.set_by
     WHERE secret.set_at IS NOT NULL`,
);
/** Tells that within the day before the signature somebody else had set the signer's secret, or the signer had first chosen their own. */
export type SecretSet = Omit<RowOf<typeof secretSetRows>, "id">;

/** What somebody signed. */
export interface Signed {
  readonly id: string;
  readonly staffId: string | null;
  readonly performedAt: Date | string;
  readonly recordedAt: Date | string;
}

/** Those of these acts, by id, before which somebody else had set the signer's secret within a day. */
export async function secretsSetBefore(db: Database, acts: readonly Signed[]): Promise<Map<string, SecretSet>> {
  if (acts.length === 0) return new Map();
  const rows = await db.rows(secretSetRows, [
    JSON.stringify(acts.map(({ id, staffId, performedAt, recordedAt }) => ({ id, staffId, performedAt, recordedAt }))),
  ]);
  return new Map(rows.map(({ id, ...set }) => [id, set]));
}

/** The same as answers have it beside an act. */
export const besideAct = (set: SecretSet | undefined): SecretBeside => ({
  secretResetAt: set?.setAt.toISOString() ?? null,
  secretResetBy: set?.setBy ?? null,
  secretChosenAt: set?.chosenAt?.toISOString() ?? null,
});
