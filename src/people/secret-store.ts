// Reading and writing of secrets and of what happened to them.
import type { SecretEvent } from "../../shared/contracts/people.ts";
import type { Database, Tx } from "../platform/index.ts";

/** A secret that somebody else knows, as it is kept. */
export interface Code {
  readonly secretHash: string;
  readonly codeExpiresAt: Date;
}

/** Puts a one-time code in the place of a held person's secret, and lifts the lock that failures with the old one brought. */
export async function putCode(tx: Tx, id: string, { secretHash, codeExpiresAt }: Code): Promise<void> {
  await tx.staff.update({ where: { id }, data: { secretHash, codeExpiresAt, failedSignIns: 0, lockedUntil: null } });
}

/** Puts a person's own secret in the place of the one that was verified, if it is that still, and the session was not ended meanwhile. False where not. */
export async function putOwnSecret(tx: Tx, own: { id: string; sessionId: string; was: string; secretHash: string }): Promise<boolean> {
  const { count } = await tx.staff.updateMany({
    where: { id: own.id, secretHash: own.was, leftAt: null, sessions: { none: { id: own.sessionId, endedAt: { not: null } } } },
    data: { secretHash: own.secretHash, codeExpiresAt: null, failedSignIns: 0, lockedUntil: null },
  });
  return count > 0;
}

/** `id` is that of the record that says so. */
export async function insertSecretEvent(
  tx: Tx,
  event: { readonly id: string; readonly staffId: string; readonly kind: SecretEvent["what"]; readonly at: Date },
): Promise<void> {
  await tx.secretEvent.create({ data: event });
}

/** What happened to a person's secret last, newest first. */
export async function readSecretEvents(db: Database, staffId: string, most: number): Promise<SecretEvent[]> {
  const rows = await db.rows<{ what: SecretEvent["what"]; at: Date; staffNumber: string | null; name: string | null }>(
    `SELECT e.kind AS what, e.at, b.staff_number AS "staffNumber", b.name FROM secret_event e JOIN ledger l ON l.id = e.id
       LEFT JOIN staff b ON b.id = l.staff_id
     WHERE e.staff_id = $1::text::uuid ORDER BY e.at DESC, l.position DESC LIMIT $2::int`,
    [staffId, most],
  );
  return rows.map(({ what, at, staffNumber, name }) => ({
    what,
    at: at.toISOString(),
    by: staffNumber === null || name === null ? null : { staffNumber, name },
  }));
}
