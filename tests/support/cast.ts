// The people that tests play with: two depots in two zones, and somebody for every role and every refusal.

import { type Competence, competenceSchema, type Role } from "../../shared/contracts/common.ts";
import type { AppContext } from "../../src/acts/index.ts";
import { foundFirm, type HashCost, hashSecret } from "../../src/people/index.ts";

// The least that the algorithm takes: these hashes protect nobody.
const quickCost: HashCost = { memoryKib: 8, passes: 1 };

export interface Cast {
  /** depot 1, Europe/London */
  readonly homeDepotId: string;
  /** depot 2, Asia/Ho_Chi_Minh */
  readonly farDepotId: string;
  /** id by staff number */
  readonly staffId: (staffNumber: string) => string;
}

/** What somebody who is added in a test is given, until they choose `secretOf`. */
export const codeOf = (staffNumber: string): string => `code-for-${staffNumber}`;

export const secretOf = (staffNumber: string): string => `test-${staffNumber}`;

interface Part {
  readonly role: Role;
  readonly at: "all" | "home" | "far";
  readonly competences?: readonly Competence[];
}

const parts: Readonly<Record<string, Part>> = {
  A001: { role: "auditor", at: "all" },
  // a manager of the far depot only
  F101: { role: "manager", at: "far" },
  M001: { role: "mechanic", at: "all", competences: competenceSchema.options },
  M002: { role: "mechanic", at: "all", competences: competenceSchema.options },
  M003: { role: "mechanic", at: "all" },
  R001: { role: "rider", at: "home" },
  R002: { role: "rider", at: "home" },
  R101: { role: "rider", at: "far" },
};

/** Founds the firm with manager F001 for all depots, and adds the depots and everybody else. */
export async function castFirm(context: AppContext): Promise<Cast> {
  const manager = await foundFirm(
    context,
    { name: "Test Couriers", demo: false, manager: { staffNumber: "F001", name: "Person F001", secret: secretOf("F001") } },
    quickCost,
  );
  // Everybody in the cast has chosen a secret of their own already.
  await context.db.prisma.staff.update({ where: { id: manager.id }, data: { codeExpiresAt: null } });
  const addedAt = context.clock.now();
  const homeDepotId = context.newId();
  const farDepotId = context.newId();
  await context.db.prisma.depot.createMany({
    data: [
      { id: homeDepotId, name: "Home", timeZone: "Europe/London", ruleSet: "gb", workshopHoursPerDay: 8, addedAt },
      { id: farDepotId, name: "Far", timeZone: "Asia/Ho_Chi_Minh", ruleSet: "gb", workshopHoursPerDay: 8, addedAt },
    ],
  });
  const ids = new Map([["F001", manager.id]]);
  for (const [staffNumber, { role, at, competences }] of Object.entries(parts)) {
    const id = context.newId();
    ids.set(staffNumber, id);
    await context.db.prisma.staff.create({
      data: {
        ...{
          id,
          staffNumber,
          role,
          addedAt,
          name: `Person ${staffNumber}`,
          secretHash: await hashSecret(secretOf(staffNumber), quickCost),
        },
        allDepots: at === "all",
        competences: [...(competences ?? [])],
        ...(at === "all" ? {} : { depots: { create: { depotId: at === "home" ? homeDepotId : farDepotId } } }),
      },
    });
  }
  const staffId = (staffNumber: string): string => {
    const id = ids.get(staffNumber);
    if (id === undefined) throw new Error(`nobody in the cast has the number ${staffNumber}`);
    return id;
  };
  return { homeDepotId, farDepotId, staffId };
}
