// Pure decisions about people: what fits together, who may manage whom, what an amendment changes.

import type { Role } from "../../shared/contracts/common.ts";
import type { AmendStaffBody, Person, StaffMember } from "../../shared/contracts/people.ts";
import type { Said } from "../../shared/records/index.ts";
import type { Actor, ProblemIssue } from "../platform/index.ts";

/** A session lives this many hours at most, however often it is renewed: 30 days. */
export const sessionHours = 30 * 24;
/** Without a renewal it is over after this many hours: 14 days. */
export const idleHours = 14 * 24;
/**
 * For this long a page may ask again with a token that it has already used, because the answer was lost: it gives up a call after 20 s
 * (`web/frame/call.ts`), and then the rider tries again.
 */
export const lostAnswerSeconds = 120;
/** After this many failed sign-ins in a row from one device or network the number is locked for it; each further failure locks it anew. */
export const failuresToLock = 5;
export const lockMinutes = 15;
/**
 * After this many within an hour, from anywhere, the number is locked until that hour is over, except for the devices that its person has
 * signed in on: so guessing from many addresses at once yields few guesses. A firm's own people do not mistype one number so often.
 */
export const failuresAnywhere = 60;
/** The name under which failures of all unknown devices count together. */
export const anywhere = "anywhere";
/** Devices of one person that are remembered. */
export const mostDevices = 20;
/** A device is remembered for so long after its last sign-in. */
export const deviceDays = 180;
/** A one-time code runs out after so many days: somebody told on a Friday is there by the Friday after. Common practice, no source. */
export const codeDays = 7;

/** What of a person an amendment may change. */
export type Particulars = Omit<Person, "id" | "staffNumber" | "mustChangeSecret">;

const unique = <T extends string>(list: readonly T[]): T[] => [...new Set(list)].sort((a, b) => (a < b ? -1 : 1));

/** Several roles, the first of them beside. */
export const rolesAsKept = (roles: readonly Role[]): Pick<Particulars, "role" | "roles"> => ({
  role: roles[0] ?? "rider",
  roles: [...new Set(roles)],
});

/** The particulars in one stored form: no doubles, sorted; all depots is a word and not a list. */
export const tidy = (given: Particulars): Particulars => ({
  name: given.name,
  ...rolesAsKept(given.roles),
  allDepots: given.allDepots,
  depotIds: unique(given.depotIds),
  competences: unique(given.competences),
  licenceClass: given.licenceClass,
});

/** What does not fit together, as issues of the body. */
export function issuesWith(given: Particulars): ProblemIssue[] {
  const issues: ProblemIssue[] = [];
  if (given.allDepots && given.depotIds.length > 0) {
    issues.push({ pointer: "/depotIds", message: "is left out where allDepots is true" });
  }
  if (!given.allDepots && given.depotIds.length === 0) {
    issues.push({ pointer: "/depotIds", message: "names at least one depot, or allDepots is true" });
  }
  if (!given.roles.includes("mechanic") && given.competences.length > 0) {
    issues.push({ pointer: "/competences", message: "is for mechanics only" });
  }
  return issues;
}

/**
 * The particulars after the amendment, where they are not named: depots give way to `allDepots` and the other way round, and
 * competences go with the role of a mechanic.
 */
export function amended(before: Particulars, body: AmendStaffBody): Particulars {
  // A client that knows one role alone sends back the first as it read it.
  const roles = body.roles ?? (body.role === undefined || body.role === before.role ? before.roles : [body.role]);
  const allDepots = body.allDepots ?? (body.depotIds && body.depotIds.length > 0 ? false : before.allDepots);
  return tidy({
    name: body.name ?? before.name,
    ...rolesAsKept(roles),
    allDepots,
    depotIds: body.depotIds ?? (allDepots ? [] : before.depotIds),
    competences: body.competences ?? (roles.includes("mechanic") ? before.competences : []),
    licenceClass: body.licenceClass === undefined ? before.licenceClass : body.licenceClass,
  });
}

/** Names of the particulars that differ. */
export function changedParticulars(before: Particulars, after: Particulars): string[] {
  const several = before.roles.length > 1 || after.roles.length > 1;
  const fields = [
    "name",
    "role",
    ...(several ? (["roles"] as const) : []),
    "allDepots",
    "depotIds",
    "competences",
    "licenceClass",
  ] as const;
  return fields.filter((field) => JSON.stringify(tidy(before)[field]) !== JSON.stringify(tidy(after)[field]));
}

/** A manager of some depots manages the people who belong to no others; a manager of all depots manages everybody. */
export function mayManage(actor: Actor, person: Pick<Person, "allDepots" | "depotIds">): boolean {
  const { depotIds } = actor;
  return depotIds === null || (!person.allDepots && person.depotIds.every((id) => depotIds.includes(id)));
}

/** Somebody who can do everything that a firm needs a manager for. */
export const isFullManager = (person: Pick<Person, "roles" | "allDepots">): boolean => person.roles.includes("manager") && person.allDepots;

/** What the record says of a person: never the name, the licence or the secret, only that they changed. */
export function recordOf(staff: { id: string; staffNumber: string }, particulars: Particulars): Said<"person-added"> {
  return {
    personId: staff.id,
    staffNumber: staff.staffNumber,
    role: particulars.role,
    ...(particulars.roles.length > 1 ? { roles: particulars.roles } : {}),
    allDepots: particulars.allDepots,
    depotIds: particulars.depotIds,
    competences: particulars.competences,
  };
}

/** The depot that an entry about a person is listed under: theirs, where it is one. */
export const depotOfRecord = (particulars: Particulars): string | null =>
  particulars.allDepots || particulars.depotIds.length !== 1 ? null : (particulars.depotIds[0] ?? null);

/** What a manager can change of a person; that somebody guesses at their secret changes nothing about them. */
export const particularsOf = ({
  lockedUntil: _locked,
  codeExpiresAt: _code,
  mustChangeSecret: _must,
  ...particulars
}: StaffMember): object => particulars;
