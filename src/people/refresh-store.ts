// The SQL of refresh tokens: one is used up and the next one put in its place.
import { z } from "zod";
import type { Person } from "../../shared/contracts/people.ts";
import { type Database, type RowOf, type Statement, statement } from "../platform/index.ts";
import { idleHours, lostAnswerSeconds, sessionHours } from "./rules.ts";
import { personColumns, personSql } from "./store.ts";

/** A refresh token to be used up, and its successor; `device`: the hash of the mark that the asking page's browser holds, null if it is no page. */
export interface Rotation {
  readonly tokenHash: string;
  readonly nextHash: string;
  readonly device: string | null;
  readonly now: Date;
}

/** SQL that replaces the token which `used` (session_id) has just used up by the next one, if the session is still alive, and returns whose it is. */
const givenNext = (used: string) =>
  statement(
    { sessionId: z.guid(), ...personColumns },
    `${used}, alive AS (
       UPDATE session SET expires_at =
         least(started_at + make_interval(hours => ${sessionHours}), $3::text::timestamptz + make_interval(hours => ${idleHours}))
       WHERE id IN (SELECT session_id FROM used) AND ended_at IS NULL AND expires_at > $3::text::timestamptz RETURNING id, staff_id
     ), next AS (
       INSERT INTO refresh_token (token_hash, session_id, issued_at) SELECT $2::text, id, $3::text::timestamptz FROM alive
     )
     SELECT alive.id AS "sessionId", person.* FROM alive
     CROSS JOIN LATERAL (SELECT ${personSql} FROM staff p WHERE p.id = alive.staff_id AND p.left_at IS NULL) person`,
  );

const rotatedRows = givenNext(`WITH used AS (
       UPDATE refresh_token SET used_at = $3::text::timestamptz, used_by_device = $4::text, next_hash = CASE WHEN $4::text IS NOT NULL THEN $2::text END
       WHERE token_hash = $1::text AND used_at IS NULL RETURNING session_id
     )`);
const rotatedAgainRows = givenNext(`WITH again AS (
       SELECT t.token_hash, t.next_hash FROM refresh_token t JOIN session s ON s.id = t.session_id
       JOIN known_device d ON d.staff_id = s.staff_id AND d.token_hash = t.used_by_device
       WHERE t.token_hash = $1::text AND t.used_by_device = $4::text
         AND t.used_at > $3::text::timestamptz - make_interval(secs => ${lostAnswerSeconds})
     ), used AS (
       UPDATE refresh_token SET used_at = $3::text::timestamptz WHERE token_hash = (SELECT next_hash FROM again) AND used_at IS NULL RETURNING session_id
     ), linked AS (
       UPDATE refresh_token SET next_hash = $2::text WHERE token_hash = (SELECT token_hash FROM again) AND EXISTS (SELECT FROM used)
     )`);

async function givenBy(
  db: Database,
  asked: Statement<RowOf<typeof rotatedRows>>,
  { tokenHash, nextHash, device, now }: Rotation,
): Promise<{ sessionId: string; person: Person } | null> {
  const [row] = await db.rows(asked, [tokenHash, nextHash, now.toISOString(), device]);
  if (!row) return null;
  const { sessionId, ...person } = row;
  return { sessionId, person };
}

/**
 * Uses a refresh token up, replaces it by the next one and returns whose session it is. It is one statement, so that of two renewals with the
 * same token only one gets the session, and nothing can fail between using the old token up and reading the person. Null if the token is not
 * usable or its session is over.
 */
export const rotateToken = (db: Database, rotation: Rotation): Promise<{ sessionId: string; person: Person } | null> =>
  givenBy(db, rotatedRows, rotation);

/**
 * The same for a token that this person's device has used up moments ago and whose answer it seems to have lost: the token that was sent then is
 * unused, and is used up here, so that only the one returned now leads on and the other ends the session. Null for any other token.
 */
export const rotateAgain = (db: Database, rotation: Rotation): Promise<{ sessionId: string; person: Person } | null> =>
  givenBy(db, rotatedAgainRows, rotation);
