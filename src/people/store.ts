// All reading and writing of people, sessions and the firm's row.
import { z } from "zod";
import type { Prisma } from "../../prisma/client/client.ts";
import { type Person, personSchema, type StaffMember, type StaffQuery } from "../../shared/contracts/people.ts";
import { type Policy, storedPolicy } from "../../shared/rules/policy.ts";
import { rolesOf } from "../../shared/rules/roles.ts";
import { type Ask, command, type Database, idsIn, statement, type Tx, takenIn } from "../platform/index.ts";
import { forgetSources, readLock } from "./guess-store.ts";
import { anywhere, idleHours, type Particulars, rolesAsKept } from "./rules.ts";
import type { Code } from "./secret-store.ts";
import type { LiveSession } from "./sessions.ts";

export type EndedWhy = "signed-out" | "replayed" | "left" | "secret-changed" | "secret-reset";

const withLists = {
  depots: { select: { depotId: true }, orderBy: { depotId: "asc" } },
  failures: { select: { lockedUntil: true } },
} satisfies Prisma.StaffInclude;
type StaffRow = Prisma.StaffGetPayload<{ include: typeof withLists }>;

const { role, competences } = personSchema.shape;
const roles = z.array(role);
const rolesIn = (kept: { readonly role: Person["role"]; readonly roles: readonly Person["role"][] }): Pick<Person, "role" | "roles"> =>
  rolesAsKept(rolesOf(kept));

/** Prisma's condition for those who hold a role. */
const holding = (wanted: Person["role"]): Prisma.StaffWhereInput => ({ OR: [{ role: wanted }, { roles: { has: wanted } }] });

function personOf(row: StaffRow): Person {
  return {
    id: row.id,
    staffNumber: row.staffNumber,
    name: row.name,
    ...rolesIn({ role: role.parse(row.role), roles: roles.parse(row.roles) }),
    allDepots: row.allDepots,
    depotIds: row.depots.map((depot) => depot.depotId),
    competences: competences.parse(row.competences),
    licenceClass: row.licenceClass,
    mustChangeSecret: row.codeExpiresAt !== null,
  };
}

const memberOf = (row: StaffRow): StaffMember => ({
  ...personOf(row),
  addedAt: row.addedAt.toISOString(),
  leftAt: row.leftAt?.toISOString() ?? null,
  lockedUntil:
    row.failures
      .flatMap((one) => one.lockedUntil?.toISOString() ?? [])
      .toSorted()
      .at(-1) ?? null,
  codeExpiresAt: row.codeExpiresAt?.toISOString() ?? null,
});

/** The firm of this store; null where none is founded yet. */
export const findFirm = (db: Database): Promise<{ name: string; demo: boolean } | null> =>
  db.prisma.firm.findFirst({ select: { name: true, demo: true } });

// ---- people

/** One member of staff. */
export async function readMember(tx: Tx, id: string): Promise<StaffMember | null> {
  const row = await tx.staff.findUnique({ where: { id }, include: withLists });
  return row && memberOf(row);
}

/** The id of whoever has this staff number. */
export const findIdOf = async (tx: Tx, staffNumber: string): Promise<string | null> =>
  (await tx.staff.findUnique({ where: { staffNumber }, select: { id: true } }))?.id ?? null;

const holdsMember = command("SELECT id FROM staff WHERE id = $1::text::uuid FOR UPDATE");

/** The member, with the row locked until the transaction ends. */
export async function holdMember(db: Pick<Database, "rowsIn">, tx: Tx, id: string): Promise<StaffMember | null> {
  await db.rowsIn(tx)(holdsMember, [id]);
  return readMember(tx, id);
}

/** Up to `limit` + 1 members by staff number, after the one named by the cursor. */
export function readStaffPage(
  db: Database,
  query: StaffQuery,
  depotIds: readonly string[] | null,
  afterNumber: string | undefined,
): Promise<StaffMember[]> {
  return db.prisma.staff
    .findMany({
      where: {
        ...(afterNumber === undefined ? {} : { staffNumber: { gt: afterNumber } }),
        ...(query.role ? { AND: [holding(query.role)] } : {}),
        ...(query.state === "all" ? {} : { leftAt: query.state === "active" ? null : { not: null } }),
        ...(depotIds ? { OR: [{ allDepots: true }, { depots: { some: { depotId: { in: [...depotIds] } } } }] } : {}),
      },
      orderBy: { staffNumber: "asc" },
      take: query.limit + 1,
      include: withLists,
    })
    .then((rows) => rows.map(memberOf));
}

/** Writes a new person. False if the staff number is taken; the transaction can only be rolled back then. */
export async function insertPerson(
  tx: Tx,
  person: Particulars & Code & { id: string; staffNumber: string; addedAt: Date },
): Promise<boolean> {
  const { depotIds, ...columns } = person;
  try {
    await tx.staff.create({ data: { ...columns, depots: { create: depotIds.map((depotId) => ({ depotId })) } } });
    return true;
  } catch (error) {
    if (takenIn(error) === "staff_staff_number_key") return false;
    throw error;
  }
}

/** Writes the particulars of a person whose row is locked, and what else changes with them. */
export async function updatePerson(tx: Tx, id: string, particulars: Particulars, also: { leftAt?: Date }): Promise<void> {
  const { depotIds, ...columns } = particulars;
  await tx.staff.update({
    where: { id },
    data: { ...columns, ...also, depots: { deleteMany: {}, create: depotIds.map((depotId) => ({ depotId })) } },
  });
}

export const isNumberTaken = async (tx: Tx, staffNumber: string): Promise<boolean> =>
  (await tx.staff.count({ where: { staffNumber } })) > 0;

/** Puts neutral values in place of what names a person; their sessions and tokens are removed. */
export async function neutralisePerson(
  tx: Tx,
  id: string,
  neutral: { readonly name: string; readonly staffNumber: string; readonly secretHash: string },
): Promise<void> {
  await tx.session.deleteMany({ where: { staffId: id } });
  await forgetSources(tx, id);
  await tx.staff.update({
    where: { id },
    data: { ...neutral, licenceClass: null, codeExpiresAt: null },
  });
}

/** How many people can do everything that a firm needs a manager for. */
export const countFullManagers = (tx: Tx): Promise<number> =>
  tx.staff.count({ where: { ...holding("manager"), allDepots: true, leftAt: null } });

/** Those of these ids that belong to no depot. */
export async function unknownDepots(tx: Tx, ids: readonly string[]): Promise<string[]> {
  const rows = await tx.depot.findMany({ where: { id: { in: [...ids] } }, select: { id: true } });
  const known = new Set(rows.map((row) => row.id));
  return ids.filter((id) => !known.has(id));
}

/** The person's depots by name. */
export const readDepots = (db: Database, person: Person): Promise<{ id: string; name: string; timeZone: string }[]> =>
  db.prisma.depot.findMany({
    where: person.allDepots ? {} : { id: { in: person.depotIds } },
    select: { id: true, name: true, timeZone: true },
    orderBy: { name: "asc" },
  });

/** Names by id. */
export const readNames = (db: Database, ids: readonly string[]): Promise<{ id: string; name: string; staffNumber: string }[]> =>
  db.prisma.staff.findMany({ where: { id: { in: [...ids] } }, select: { id: true, name: true, staffNumber: true } });

// ---- signing in

const startedRows = statement(
  { sessionId: z.guid() },
  `WITH person AS (
       -- Held, so that leaving, a change of secret and a beginning session wait for each other: whichever comes later knows of the other.
       SELECT id FROM staff WHERE id = $1::uuid AND secret_hash = $2 AND left_at IS NULL FOR SHARE
     ), own AS (
       SELECT f.source, f.locked_until FROM sign_in_failure f JOIN person ON f.staff_id = person.id
       WHERE f.source IN (SELECT jsonb_array_elements_text($7::text::jsonb)) FOR UPDATE OF f
     ), admitted AS (
       SELECT id FROM person WHERE NOT EXISTS (SELECT FROM own WHERE locked_until > $5::timestamptz)
     ), counted_anew AS (
       -- What others fail at elsewhere goes on being counted.
       DELETE FROM sign_in_failure f USING admitted WHERE f.staff_id = admitted.id AND f.source <> '${anywhere}'
         AND f.source IN (SELECT source FROM own)
     ), begun AS (
       INSERT INTO session (id, staff_id, started_at, expires_at)
       SELECT $3::uuid, id, $5::timestamptz, $5::timestamptz + make_interval(hours => $6::int) FROM admitted RETURNING id
     )
     INSERT INTO refresh_token (token_hash, session_id, issued_at) SELECT $4, id, $5::timestamptz FROM begun RETURNING session_id AS "sessionId"`,
);

/**
 * Begins a session in one statement, if at that moment the person works here, is not locked, and the secret is still the one that was verified:
 * so a lock counts even for guesses that run in parallel. Resets the count of failures.
 */
export async function startSession(
  db: Database,
  about: { staffId: string; secretHash: string; sources: readonly string[]; sessionId: string; tokenHash: string; now: Date },
): Promise<"started" | { lockedUntil: Date | null }> {
  const started = await db.rows(startedRows, [
    about.staffId,
    about.secretHash,
    about.sessionId,
    about.tokenHash,
    about.now.toISOString(),
    idleHours,
    JSON.stringify(about.sources),
  ]);
  return started.length > 0 ? "started" : { lockedUntil: await readLock(db, about.staffId, about.sources) };
}

// ---- sessions

/** Of the staff row `p`, with the depots. */
export const personColumns = {
  ...{ id: z.guid(), staffNumber: z.string(), name: z.string(), role, roles, allDepots: z.boolean(), competences },
  ...{ licenceClass: z.string().nullable(), mustChangeSecret: z.boolean(), depotIds: z.array(z.guid()) },
};
export const personSql = `p.id, p.staff_number AS "staffNumber", p.name, p.role, to_jsonb(CASE WHEN p.roles[1] = p.role THEN p.roles ELSE ARRAY[p.role] END) AS roles, p.all_depots AS "allDepots", to_jsonb(p.competences) AS competences,
       p.licence_class AS "licenceClass", p.code_expires_at IS NOT NULL AS "mustChangeSecret",
       coalesce((SELECT jsonb_agg(d.depot_id ORDER BY d.depot_id) FROM staff_depot d WHERE d.staff_id = p.id), '[]') AS "depotIds"`;

const liveRows = statement(
  { ...personColumns, expiresAt: z.date() },
  `SELECT ${personSql}, s.expires_at AS "expiresAt" FROM session s JOIN staff p ON p.id = s.staff_id
     WHERE s.id = $1::uuid AND s.ended_at IS NULL AND p.left_at IS NULL`,
);

/** The session with its person as they are now; null where it or the person's time here is over. */
export async function readLiveSession(db: Database, sessionId: string): Promise<LiveSession | null> {
  const [row] = await db.rows(liveRows, [sessionId]);
  if (!row) return null;
  const { expiresAt, ...person } = row;
  return { sessionId, expiresAt, person };
}

const endsSession = command(
  `WITH ended AS (
       UPDATE session SET ended_at = $2::timestamptz, ended_why = $3 WHERE id = $1::uuid AND ended_at IS NULL RETURNING id
     ) SELECT pg_notify('ferrule_sessions', id::text)::text FROM ended`,
);

/** Ends a session and tells all processes, in one statement. */
export async function endSession(db: Database, sessionId: string, why: EndedWhy, now: Date): Promise<void> {
  await db.rows(endsSession, [sessionId, now.toISOString(), why]);
}

/** The session that a used refresh token belongs to. */
export async function sessionOfUsedToken(db: Database, tokenHash: string): Promise<string | null> {
  const row = await db.prisma.refreshToken.findUnique({ where: { tokenHash }, select: { sessionId: true, usedAt: true } });
  return row?.usedAt ? row.sessionId : null;
}

/** Ends all sessions of a person but `butId`, within the transaction. Returns how many it ended. */
export async function endSessionsOf(tx: Tx, staffId: string, why: EndedWhy, now: Date, butId?: string): Promise<number> {
  const { count } = await tx.session.updateMany({
    where: { staffId, endedAt: null, ...(butId === undefined ? {} : { id: { not: butId } }) },
    data: { endedAt: now, endedWhy: why },
  });
  return count;
}

const tellsSessions = command(
  `SELECT pg_notify('ferrule_sessions', id::text)::text FROM session WHERE staff_id = $1::text::uuid AND id IN ${idsIn("$2")}`,
);

/** Tells every process, once the transaction is committed, to forget these sessions of a person. */
export async function tellSessionsOf(db: Pick<Database, "rowsIn">, tx: Tx, staffId: string, ids: readonly string[]): Promise<void> {
  if (ids.length === 0) return;
  await db.rowsIn(tx)(tellsSessions, [staffId, JSON.stringify(ids)]);
}

/** Ids of the person's sessions that have not ended. */
export async function readOpenSessions(tx: Tx, staffId: string): Promise<string[]> {
  const rows = await tx.session.findMany({ where: { staffId, endedAt: null }, select: { id: true } });
  return rows.map((row) => row.id);
}

/** Deletes the person's sessions that were over before `before`, with their tokens: they are kept no longer than they are needed. */
export async function removeOldSessions(db: Database, staffId: string, before: Date): Promise<void> {
  await db.prisma.session.deleteMany({ where: { staffId, expiresAt: { lt: before } } });
}

// ---- the firm

/** Writes the firm's one row. False if there is one already. */
export async function insertFirm(tx: Tx, firm: { id: string; name: string; demo: boolean; policy: Policy }): Promise<boolean> {
  // A new store has nothing to change, so all changes count as made.
  const { count } = await tx.firm.createMany({ data: [{ ...firm, carriedOut: [...allChanges] }], skipDuplicates: true });
  return count > 0;
}

/** Changes to stored data, each made once per store (see carry-out-changes.ts). */
export const allChanges = ["grant-inspection"] as const;
export type Change = (typeof allChanges)[number];

const heldChanges = statement({ carriedOut: z.array(z.string()) }, `SELECT carried_out AS "carriedOut" FROM firm FOR UPDATE`);

/** Which changes were made in this store, with the firm's row locked; null if there is no firm. */
export async function holdCarriedOut(db: Pick<Database, "rowsIn">, tx: Tx): Promise<readonly string[] | null> {
  return (await db.rowsIn(tx)(heldChanges))[0]?.carriedOut ?? null;
}

export async function setCarriedOut(tx: Tx, carriedOut: readonly string[]): Promise<void> {
  await tx.firm.update({ where: { only: true }, data: { carriedOut: [...carriedOut] } });
}

/** Mechanics who are still here and hold any competence, by number. */
export async function mechanicsWithCompetences(tx: Tx): Promise<StaffMember[]> {
  const where = { ...holding("mechanic"), leftAt: null, NOT: { competences: { isEmpty: true } } };
  return (await tx.staff.findMany({ where, orderBy: { staffNumber: "asc" }, include: withLists })).map(memberOf);
}

export async function updateCompetences(tx: Tx, id: string, competences: readonly string[]): Promise<void> {
  await tx.staff.update({ where: { id }, data: { competences: [...competences] } });
}

const firmRow = { where: { only: true }, select: { policy: true } } as const;

export async function readPolicy(tx: Tx): Promise<Policy> {
  return storedPolicy((await tx.firm.findUniqueOrThrow(firmRow)).policy);
}

const heldPolicy = statement({ policy: z.unknown() }, "SELECT policy FROM firm FOR UPDATE");

/** The policy, with its row locked until the transaction ends. */
export async function holdPolicy(ask: Ask): Promise<Policy> {
  const [row] = await ask(heldPolicy);
  if (!row) throw new Error("the firm is founded before anybody can ask for its policy");
  return storedPolicy(row.policy);
}

export async function updatePolicy(tx: Tx, policy: Policy): Promise<void> {
  await tx.firm.update({ where: { only: true }, data: { policy } });
}
