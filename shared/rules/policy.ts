// What a firm may choose, with the default and its reason. A choice other than the default is itself a record.
import { z } from "zod";
import { isCurrency, mostMinor } from "./money.ts";
import { leastMonths, mostMonths } from "./retention.ts";

const benchHours = (usual: number) => z.number().min(0).max(24).multipleOf(0.05).default(usual);

/** When steering, wheels and brakes take a second person. */
export const secondPersonSchema = z.enum(["grounding", "all", "off"]).meta({ id: "SecondPerson" });
export type SecondPerson = z.infer<typeof secondPersonSchema>;

export const policySchema = z
  .strictObject({
    /** A clearance ends with the depot's day or after this many hours, whichever is first; never over the 24 hours of the roadworthiness guide. */
    clearanceHours: z.number().int().min(1).max(24).default(14),
    /**
     * A clearance runs on over midnight, for a shift that began before it, as long as nothing stands against the machine on the new day. A
     * depot may choose otherwise for itself.
     */
    clearanceOverMidnight: z.boolean().default(false),
    /** A weekly inspection older than this many days is overdue. */
    inspectionEveryDays: z.number().int().min(1).max(31).default(7),
    /** A minor defect may be ridden for this many days, and never past the next weekly inspection. */
    minorDefectDays: z.number().int().min(1).max(31).default(7),
    /** A part for which a defect waits is expected within this many days of the day on which that is signed. */
    waitForPartDays: z.number().int().min(1).max(28).default(28),
    /** The same item on the same machine again within this many days is marked as recurring. */
    recurringWithinDays: z.number().int().min(1).max(365).default(28),
    /**
     * Steering, wheels and brakes: whoever repaired may not sign off. `grounding`: only where the defect grounds, since a missing valve
     * cap does not need two people. A firm with one mechanic switches it off. A depot may choose otherwise for itself.
     */
    secondPerson: secondPersonSchema.default("grounding"),
    /** A check that arrives later than this after it was made is flagged as late. */
    lateAfterMinutes: z.number().int().min(1).max(1440).default(15),
    /** A clock that is further ahead than this is flagged; the time of arrival counts then. */
    clockAheadMinutes: z.number().int().min(1).max(60).default(5),
    /** More than this in a day is flagged: a digit too many is likelier than the distance. */
    plausibleKmPerDay: z.number().int().min(50).max(2000).default(600),
    /** The weekdays on which the workshops work, 1 Monday to 7 Sunday (ISO 8601). */
    workshopDays: z
      .array(z.number().int().min(1).max(7))
      .min(1)
      .max(7)
      .refine((days) => new Set(days).size === days.length, "names a weekday twice")
      .default([1, 2, 3, 4, 5, 6]),
    /** Hours at the bench that the work plan counts for each kind of work: common practice, no source. */
    inspectionHours: benchHours(0.75),
    groundingRepairHours: benchHours(1),
    minorRepairHours: benchHours(0.5),
    signOffHours: benchHours(0.25),
    renewalHours: benchHours(1),
    oilChangeHours: benchHours(0.5),
    /** The one currency in which the firm counts (ISO 4217). Null: not said, and then nothing has a price. */
    currency: z
      .string()
      .regex(/^[A-Z]{3}$/, "three capital letters")
      .refine(isCurrency, "is no currency of ISO 4217")
      .nullable()
      .default(null),
    /** What an hour at the bench costs, in minor units of the currency. Null: not known, and the work of a repair is then said to be so. */
    hourlyRateMinor: z.number().int().min(0).max(mostMinor).nullable().default(null),
    /** A daily check made in less is asked about: a practised rider takes about a minute (common practice, no source). */
    tooFastSeconds: z.number().int().min(1).max(600).default(25),
    /**
     * So is one made in less than this for each item of its sheet: below it, survey studies saw answers given without effort. A company
     * setting.
     */
    tooFastSecondsPerItem: z.number().min(0.1).max(60).multipleOf(0.1).default(2),
    /** Checks, inspections and defects are kept for so many months, and then forgotten: the published 15 are the least and the default. */
    keepMonths: z.number().int().min(leastMonths).max(mostMonths).default(leastMonths),
  })
  .meta({ id: "Policy" });
export type Policy = z.infer<typeof policySchema>;

/** A part of the policy; what is left out stays as it is, so nothing has a default here. */
export const policyAmendmentSchema: z.ZodType<Partial<Policy>> = z
  .strictObject(Object.fromEntries(Object.entries(policySchema.shape).map(([field, schema]) => [field, schema.unwrap().optional()])))
  .refine((body) => Object.keys(body).length > 0, { message: "say what is to change" })
  .meta({ id: "PolicyAmendment" });

export const defaultPolicy: Policy = policySchema.parse({});

/** Until 2026-11-29 `secondPerson` was true or false: older records hold it so, and older clients send it so. */
export const liftPolicy = (said: unknown): unknown =>
  typeof said === "object" && said !== null && "secondPerson" in said && typeof said.secondPerson === "boolean"
    ? { ...said, secondPerson: said.secondPerson ? "grounding" : "off" }
    : said;

/** What a depot may choose for itself: null as the firm's policy says, undefined from before depots could choose. */
export type DepotChoices = { readonly [Choice in "secondPerson" | "clearanceOverMidnight"]?: Policy[Choice] | null | undefined };

/** A policy as it is stored, whenever that was. Throws what zod says of one that never was a policy. */
export const storedPolicy = (stored: unknown): Policy => policySchema.parse(liftPolicy(stored ?? {}));
