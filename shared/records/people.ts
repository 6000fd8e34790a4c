// What the firm's chain says of the firm itself, its choices and its people: never a name, a licence or a secret.
import { z } from "zod";
import { competenceSchema, roleSchema } from "../contracts/common.ts";
import { idOf, instant, text, texts } from "./parts.ts";

const policy = z.strictObject({
  clearanceHours: z.number(),
  /** since 2026-11-30 */
  clearanceOverMidnight: z.boolean().exactOptional(),
  inspectionEveryDays: z.number(),
  minorDefectDays: z.number(),
  /** since 2026-11-30 */
  waitForPartDays: z.number().exactOptional(),
  recurringWithinDays: z.number(),
  /** a yes or a no until 2026-11-29; `liftPolicy` in shared/rules/policy.ts says what they stand for */
  secondPerson: z.union([z.enum(["grounding", "all", "off"]), z.boolean()]),
  lateAfterMinutes: z.number(),
  clockAheadMinutes: z.number(),
  plausibleKmPerDay: z.number(),
  workshopDays: z.array(z.number()),
  inspectionHours: z.number(),
  groundingRepairHours: z.number(),
  minorRepairHours: z.number(),
  signOffHours: z.number(),
  renewalHours: z.number(),
  oilChangeHours: z.number(),
  tooFastSeconds: z.number(),
  tooFastSecondsPerItem: z.number(),
  keepMonths: z.number(),
  /** these two since 2026-11-30; null: not known */
  currency: text.nullable().exactOptional(),
  hourlyRateMinor: z.number().nullable().exactOptional(),
});

export const firmFounded = z.strictObject({ firmId: idOf, firmName: text, demo: z.boolean(), policy });

export const policyChanged = z.strictObject({ before: policy, after: policy, changed: texts });

const person = {
  personId: idOf,
  staffNumber: text,
  /** the first of their roles */
  role: roleSchema,
  /** since 2026-11-30, where they have several */
  roles: z.array(roleSchema).exactOptional(),
  allDepots: z.boolean(),
  depotIds: z.array(idOf),
  competences: z.array(competenceSchema),
};

export const personAdded = z.strictObject(person);

export const personAmended = z.strictObject({
  ...person,
  /** names of the particulars that changed */
  changed: texts,
  /** since 2026-11-29, where it was no manager's choice: the change of the store that granted it */
  because: z.enum(["grant-inspection"]).exactOptional(),
});

export const personLeft = z.strictObject(person);

/** Recorded since 2026-11-29. */
export const secretReset = z.strictObject({
  personId: idOf,
  madeBy: z.enum(["service", "manager", "operator"]),
  expiresAt: instant,
  sessionsEnded: z.number(),
});

/** Recorded since 2026-11-29. */
export const secretChanged = z.strictObject({
  personId: idOf,
  /** chosen with a one-time code; else changed by who knew the one before */
  afterCode: z.boolean(),
  sessionsEnded: z.number(),
});
