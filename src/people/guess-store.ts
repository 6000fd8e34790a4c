// Wrong secrets, counted by person and by source (a device or a network); and the devices that a person has signed in on.
import { z } from "zod";
import { command, type Database, type RowOf, statement, type Tx } from "../platform/index.ts";
import { anywhere, failuresAnywhere, failuresToLock, lockMinutes, mostDevices } from "./rules.ts";
import type { CountedAs } from "./sign-in-source.ts";
import { hashOfToken } from "./tokens.ts";

const signingInBy = (column: "s.id::text" | "s.staff_number") =>
  statement(
    {
      ...{ id: z.guid(), secretHash: z.string(), leftAt: z.date().nullable(), codeExpiresAt: z.date().nullable() },
      /** until when the number is locked for these sources, the latest of them; a moment in the past: it is not locked */
      lockedUntil: z.date().nullable(),
      /** the names under which a failure from here counts */
      sources: z.array(z.string()).readonly(),
    },
    `SELECT s.id, s.secret_hash AS "secretHash", s.left_at AS "leftAt", s.code_expires_at AS "codeExpiresAt", to_jsonb(source.names) AS sources,
       (SELECT max(f.locked_until) FROM sign_in_failure f WHERE f.staff_id = s.id AND f.source = ANY (source.names)) AS "lockedUntil"
     FROM staff s, LATERAL (SELECT CASE
       WHEN EXISTS (SELECT FROM known_device d WHERE d.staff_id = s.id AND 'device ' || d.token_hash = $2::text) THEN ARRAY[$2::text]
       ELSE ARRAY[$3::text, '${anywhere}'] END AS names) source
     WHERE ${column} = $1::text`,
  );
const signingInById = signingInBy("s.id::text");
const signingInByNumber = signingInBy("s.staff_number");
export type SigningIn = RowOf<typeof signingInById>;

/** What has to be known to judge a secret that somebody shows: who they are, by staff number or by id, and whether their source is locked. */
export async function readSigningIn(
  db: Database,
  who: { staffNumber: string } | { id: string },
  { device, network }: CountedAs,
): Promise<SigningIn | null> {
  const [row] =
    "id" in who
      ? await db.rows(signingInById, [who.id, device, network])
      : await db.rows(signingInByNumber, [who.staffNumber, device, network]);
  return row ?? null;
}

const clearsOld = command("DELETE FROM sign_in_failure WHERE counted_since <= $1::text::timestamptz - interval '1 day' RETURNING source");
const countedRows = statement(
  { source: z.string() },
  `INSERT INTO sign_in_failure AS f (staff_id, source, failures, counted_since)
     SELECT $1::text::uuid, named.source, 1, $3::text::timestamptz
     FROM jsonb_array_elements_text($2::text::jsonb) WITH ORDINALITY AS named(source, place) ORDER BY named.place
     ON CONFLICT (staff_id, source) DO UPDATE SET
       -- From anywhere an hour is counted and closed as a whole.
       failures = CASE WHEN f.source = '${anywhere}' AND f.counted_since <= $3::text::timestamptz - interval '1 hour' THEN 1 ELSE f.failures + 1 END,
       counted_since = CASE WHEN f.source = '${anywhere}' AND f.counted_since <= $3::text::timestamptz - interval '1 hour' THEN excluded.counted_since ELSE f.counted_since END,
       locked_until = CASE
         WHEN f.source <> '${anywhere}' AND f.failures + 1 >= ${failuresToLock} THEN $3::text::timestamptz + interval '${lockMinutes} minutes'
         WHEN f.source = '${anywhere}' AND f.failures + 1 >= ${failuresAnywhere} AND f.counted_since > $3::text::timestamptz - interval '1 hour'
           THEN f.counted_since + interval '1 hour' END
     WHERE f.locked_until IS NULL OR f.locked_until <= $3::text::timestamptz
     RETURNING f.source`,
);

/**
 * Counts one failed sign-in in one statement, so that guesses sent in parallel are all counted; a source that reaches its limit is locked.
 * A source that is locked already counts no further: then the latest end of those locks is returned, else null.
 */
export async function countFailure(db: Database, staffId: string, sources: readonly string[], now: Date): Promise<Date | null> {
  await db.rows(clearsOld, [now.toISOString()]);
  const counted = await db.rows(countedRows, [staffId, JSON.stringify(sources), now.toISOString()]);
  return counted.length === sources.length ? null : readLock(db, staffId, sources);
}

/** The latest end of a lock at one of these sources. */
export async function readLock(db: Database, staffId: string, sources: readonly string[]): Promise<Date | null> {
  const { _max } = await db.prisma.signInFailure.aggregate({
    where: { staffId, source: { in: [...sources] } },
    _max: { lockedUntil: true },
  });
  return _max.lockedUntil;
}

const heldBackRows = statement(
  {
    numbers: z.int(),
    /** numbers closed to every device on which their person has not signed in */
    everywhere: z.int(),
    devices: z.int(),
    networks: z.int(),
  },
  `SELECT count(DISTINCT staff_id)::int AS numbers, (count(*) FILTER (WHERE source = '${anywhere}'))::int AS everywhere,
       (count(DISTINCT source) FILTER (WHERE source LIKE 'device %'))::int AS devices,
       (count(DISTINCT source) FILTER (WHERE source LIKE 'network %'))::int AS networks
     FROM sign_in_failure WHERE locked_until > $1::text::timestamptz`,
);
/** What is locked now because of wrong secrets: how many staff numbers, and for how many devices and networks. */
export type HeldBack = RowOf<typeof heldBackRows>;

export async function readHeldBack(db: Database, now: Date): Promise<HeldBack> {
  const [row] = await db.rows(heldBackRows, [now.toISOString()]);
  return row ?? { numbers: 0, everywhere: 0, devices: 0, networks: 0 };
}

/** Lifts every lock of a person and deletes the counts. Returns from how many sources wrong secrets had been counted. */
export async function liftLocks(tx: Tx, staffId: string): Promise<number> {
  const { count } = await tx.signInFailure.deleteMany({ where: { staffId } });
  return count;
}

const knowsDevice = command(
  `WITH kept AS (
     INSERT INTO known_device (staff_id, token_hash, used_at) VALUES ($1::text::uuid, $2::text, $3::text::timestamptz)
     ON CONFLICT (staff_id, token_hash) DO UPDATE SET used_at = excluded.used_at)
   DELETE FROM known_device WHERE staff_id = $1::text::uuid AND token_hash <> $2::text AND token_hash NOT IN (
     SELECT token_hash FROM known_device WHERE staff_id = $1::text::uuid ORDER BY used_at DESC LIMIT ${mostDevices})`,
);

/** Remembers a device on which this person has signed in; beyond `mostDevices`, the ones used longest ago are forgotten. */
export async function knowDevice(db: Database, staffId: string, token: string, now: Date): Promise<void> {
  await db.rows(knowsDevice, [staffId, hashOfToken(token), now.toISOString()]);
}

/** Deletes what is kept about where a person signed in, for when they are made anonymous. */
export async function forgetSources(tx: Tx, staffId: string): Promise<void> {
  await liftLocks(tx, staffId);
  await tx.knownDevice.deleteMany({ where: { staffId } });
}
