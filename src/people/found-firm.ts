import { z } from "zod";
import { textSchema } from "../../shared/contracts/common.ts";
import { type StaffMember, staffNumberSchema } from "../../shared/contracts/people.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { leastSecretLength, mostSecretLength } from "../../shared/rules/secret.ts";
import { recording } from "../ledger/index.ts";
import type { ServiceContext } from "../platform/index.ts";
import { insertWithRecord } from "./add-staff.ts";
import { peopleErrors } from "./errors.ts";
import { newCode } from "./reset-secret.ts";
import { type HashCost, usualCost } from "./secrets.ts";
import { insertFirm } from "./store.ts";

const foundingSchema = z.strictObject({
  name: textSchema(120),
  demo: z.boolean(),
  manager: z.strictObject({
    staffNumber: staffNumberSchema,
    name: textSchema(120),
    secret: z.string().min(leastSecretLength).max(mostSecretLength),
  }),
});
export type Founding = z.input<typeof foundingSchema>;

/**
 * Begins the firm's records with its first manager, who has all depots. The secret given here is known to whoever runs the service, so the
 * manager has to change it before they can add anybody else. Throws `firm-exists` if there is a firm already, and zod's error if the founding
 * is not valid. A lower `cost` is for tests.
 */
export async function foundFirm(context: ServiceContext, founding: Founding, cost: HashCost = usualCost): Promise<StaffMember> {
  const { name, demo, manager } = foundingSchema.parse(founding);
  const code = await newCode(context, manager.secret, cost);
  return recording(context, async (tx) => {
    const firmId = context.newId();
    if (!(await insertFirm(tx, { id: firmId, name, demo, policy: defaultPolicy }))) {
      throw peopleErrors.problem("firm-exists", "One store holds one firm.");
    }
    const founded = {
      id: context.newId(),
      kind: "firm-founded",
      performedAt: context.clock.now(),
      data: { firmId, firmName: name, demo, policy: defaultPolicy },
    } as const;
    return insertWithRecord(context, tx, {
      staffNumber: manager.staffNumber,
      code,
      particulars: {
        name: manager.name,
        role: "manager",
        roles: ["manager"],
        allDepots: true,
        depotIds: [],
        competences: [],
        licenceClass: null,
      },
      by: null,
      first: [founded],
    });
  });
}
