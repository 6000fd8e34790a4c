// What is asked and answered about the workshop's work, wear, and who rides what.
import { z } from "zod";
import { categorySchema, daySchema, idSchema, instantSchema, standingSchema, textSchema } from "./common.ts";
import { paperKindSchema } from "./papers.ts";
import { quantitySchema, unitSchema } from "./quantities.ts";
import { limitSchema } from "./sheets.ts";

// Wear forecast

const reachSchema = z.object({
  kmLeft: z.number().meta({ description: "from now; negative where it lies behind" }),
  odometerKm: z.number().meta({ description: "what the odometer will show there" }),
  day: daySchema.nullable().meta({ description: "at the machine's own daily distance; null where it stands, or more than ten years off" }),
});

export const adviceSchema = z
  .enum(["renew-at-this-inspection", "adjust-at-this-inspection", "watch", "fine", "not-wearing", "too-few-readings", "no-limit"])
  .meta({ id: "WearAdvice" });

export const wearForecastSchema = z
  .object({
    quantity: quantitySchema,
    itemId: z.string(),
    unit: unitSchema.meta({ description: "of value, limit and slope; a chain's is percent of elongation" }),
    n: z.number().int().meta({ description: "readings since the part was new" }),
    since: instantSchema.nullable(),
    latest: z.object({ at: instantSchema, value: z.number() }).nullable(),
    limit: limitSchema,
    slopePer1000Km: z.number().nullable().meta({ description: "least squares; negative where it falls" }),
    residualSd: z.number().nullable(),
    limitAtKm: z.number().nullable().meta({ description: "what the odometer will show where the line meets the limit" }),
    kmLeft: z.number().nullable(),
    dayAtLimit: daySchema.nullable(),
    interval: z
      .object({ confidence: z.number(), earliest: reachSchema.nullable(), latest: reachSchema.nullable() })
      .nullable()
      .meta({ description: "over which the limit lies inside the prediction interval; null: open on that side" }),
    probabilityPastNextInspection: z.number().nullable(),
    renewals: z
      .array(
        z.object({ at: instantSchema, odometerKm: z.number(), value: z.number().nullable().meta({ description: "null: not measured" }) }),
      )
      .meta({
        description: "when the part was new, by what was written down or by a value that wear cannot explain; in the order of time",
      }),
    advice: adviceSchema,
    text: z.string(),
  })
  .meta({ id: "WearForecast" });

/** What the handbook has renewed or set by distance or days. */
const dueForecastSchema = z.object({
  itemId: z.string(),
  since: instantSchema,
  changed: z.boolean().meta({ description: "false: no change is on record, and it is counted from its entry into the fleet" }),
  kmSince: z.number(),
  kmLeft: z.number().nullable(),
  daysLeft: z.number().int().nullable(),
  due: z.boolean(),
  by: z.enum(["distance", "days", "both"]).nullable(),
  dueDay: daySchema.nullable(),
});

export const machineForecastSchema = z
  .object({
    machineId: idSchema,
    registrationMark: z.string(),
    depotId: idSchema,
    day: daySchema,
    odometerKm: z.number().int(),
    dailyUse: z
      .object({ kmPerDay: z.number().nullable(), km: z.number(), days: z.number(), readings: z.number().int() })
      .meta({ description: "over the last 28 days in service, days on which it stood included; null under a week" }),
    nextInspectionDay: daySchema.meta({ description: "the first after today" }),
    forecasts: z.array(wearForecastSchema),
    oil: dueForecastSchema.nullable(),
    services: z
      .array(dueForecastSchema)
      .meta({ description: "brake fluid, valve clearance, belt, coolant, where the handbook has an interval" }),
    caution: z.string(),
  })
  .meta({ id: "MachineForecast" });
export type MachineForecast = z.infer<typeof machineForecastSchema>;

// Work plan

/** 53 weeks, so that a year of 53 ISO weeks fits. */
const MOST_PLAN_DAYS = 371;

export const workPlanQuerySchema = z.strictObject({
  depotId: idSchema.optional().meta({ description: "may be left out by those who see one depot only" }),
  days: z.coerce.number().int().min(1).max(MOST_PLAN_DAYS).default(7),
});
export type WorkPlanQuery = z.infer<typeof workPlanQuerySchema>;

export const jobKindSchema = z
  .enum([
    "cannot-be-judged",
    "sign-off",
    "grounding-repair",
    "fall-inspection",
    "first-use-inspection",
    "return-inspection",
    "outside-inspection",
    "weekly-inspection",
    "minor-repair",
    "slow-puncture",
    "renewal",
    "oil-change",
    "service",
    "paper",
  ])
  .meta({ id: "JobKind" });

const jobShape = {
  kind: jobKindSchema,
  text: z.string(),
  machineId: idSchema,
  registrationMark: z.string(),
  itemId: z.string().nullable(),
  defectId: idSchema.optional(),
  words: z.string().optional().meta({ description: "the first words of whoever found a defect and named no item" }),
  campaign: z.string().optional().meta({ description: "the name of the campaign that the defect is the job of" }),
  campaignId: idSchema.optional(),
  expectedDay: daySchema.optional().meta({ description: "it waits for a part, which is expected on that day: planned no sooner" }),
  part: z.string().optional().meta({ description: "the first words of what it waits for" }),
  workshop: z.string().optional().meta({ description: "where the machine is away: planned no sooner than it is back" }),
  backDay: daySchema.optional().meta({ description: "the day on which it is expected back" }),
  category: categorySchema.optional(),
  paperKind: paperKindSchema.optional(),
  dueDay: daySchema.meta({ description: "the last day that is in time" }),
  doneDay: daySchema
    .nullable()
    .meta({ description: "null: not within a year of the days that were asked for; a paper is not the workshop's" }),
  lateDays: z.number().int().nullable(),
};

const loadShape = {
  hoursAvailable: z.number(),
  hoursPlanned: z.number().meta({ description: "what the plan does then, work done ahead of its day included" }),
  hoursDue: z.number().meta({ description: "what falls due then; on a closed day it counts for the open day before" }),
  over: z.boolean().meta({ description: "more falls due than there are hours" }),
};

export const workPlanSchema = z
  .object({
    depotId: idSchema,
    from: daySchema,
    to: daySchema,
    days: z.array(
      z.object({
        day: daySchema,
        ...loadShape,
        jobs: z.array(
          z.object({
            ...jobShape,
            hours: z.number().meta({ description: "of it on this day" }),
            hoursInAll: z.number(),
          }),
        ),
      }),
    ),
    weeks: z.array(
      z.object({
        week: z.string().meta({ description: "ISO 8601", example: "2026-W53" }),
        from: daySchema,
        to: daySchema,
        ...loadShape,
        jobs: z.partialRecord(jobKindSchema, z.number().int()).meta({ description: "how many fall due" }),
      }),
    ),
    late: z.array(z.object(jobShape)).meta({ description: "what will not be done in time, the latest first" }),
    caution: z.string(),
  })
  .meta({ id: "WorkPlan" });
export type WorkPlan = z.infer<typeof workPlanSchema>;

// Allocation

/** Nobody has given a reason for more at one depot (common practice, no source). */
const mostRiders = 2000;

export const allocationBodySchema = z
  .strictObject({
    depotId: idSchema,
    day: daySchema,
    riders: z
      .array(
        z.strictObject({
          staffId: idSchema,
          licenceClass: textSchema(12).optional().meta({ description: "in place of the one on record" }),
          needsLoadBox: z.boolean().optional(),
        }),
      )
      .max(mostRiders),
  })
  .meta({ id: "AllocationBody" });
export type AllocationBody = z.infer<typeof allocationBodySchema>;

export const unservedReasonSchema = z
  .enum(["unknown", "left", "no-rider", "not-at-this-depot", "licence", "load-box", "ridden", "no-machine-left"])
  .meta({ id: "UnservedReason" });

const riderShape = {
  staffId: idSchema,
  staffNumber: z.string().nullable().meta({ description: "null: nobody has this id" }),
  name: z.string().nullable(),
};

export const allocationSchema = z
  .object({
    depotId: idSchema,
    day: daySchema,
    readyMachines: z.number().int(),
    changes: z.number().int(),
    allocations: z.array(
      z.object({
        ...riderShape,
        machineId: idSchema,
        registrationMark: z.string(),
        changed: z
          .boolean()
          .meta({ description: "another machine than what was kept for this day or the last one, or than they rode then" }),
        licenceKnown: z.boolean().meta({ description: "false: no class is on record or was sent, so it was not compared" }),
      }),
    ),
    unserved: z.array(z.object({ ...riderShape, reason: unservedReasonSchema, text: z.string() })),
    caution: z.string(),
  })
  .meta({ id: "Allocation" });
export type Allocation = z.infer<typeof allocationSchema>;

// What of it is kept

export const allocationParamsSchema = z.object({ depotId: idSchema, day: daySchema });

export const keepAllocationBodySchema = z
  .strictObject({
    allocations: z
      .array(z.strictObject({ staffId: idSchema, machineId: idSchema }))
      .max(mostRiders)
      .meta({ description: "all of the day, in place of what was kept before" }),
  })
  .meta({ id: "KeepAllocationBody" });
export type KeepAllocationBody = z.infer<typeof keepAllocationBodySchema>;

/** `not-ready` and `licence-unknown` may change by the time they ride; a line with any other is not kept. */
export const lineFlagSchema = z
  .enum([
    ...(["unknown", "left", "no-rider", "not-at-this-depot"] as const),
    ...(["machine-not-here", "withdrawn", "ridden", "licence", "licence-unknown", "not-ready"] as const),
  ])
  .meta({ id: "AllocationLineFlag" });
export type LineFlag = z.infer<typeof lineFlagSchema>;

export const keptAllocationSchema = z
  .object({
    depotId: idSchema,
    day: daySchema,
    revision: z.number().int().meta({ description: "how many times one was kept for this day; 0: never" }),
    keptBy: z.object({ staffId: idSchema, staffNumber: z.string(), name: z.string() }).nullable(),
    keptAt: instantSchema.nullable(),
    allocations: z
      .array(
        z.object({
          ...{ staffId: idSchema, staffNumber: z.string(), name: z.string(), machineId: idSchema, registrationMark: z.string() },
          standing: standingSchema
            .nullable()
            .meta({ description: "now, or for a day to come at its beginning; null for a day that is over" }),
          flags: z.array(lineFlagSchema).meta({ description: "what is not as it should be at that moment; none for a day that is over" }),
        }),
      )
      .meta({ description: "by staff number; a rider gets their own line only" }),
    caution: z.string(),
  })
  .meta({ id: "KeptAllocation" });
export type KeptAllocation = z.infer<typeof keptAllocationSchema>;

export const pressureTrendSchema = z
  .object({
    machineId: idSchema,
    registrationMark: z.string(),
    depotId: idSchema,
    referenceCelsius: z.number(),
    confidence: z.number(),
    naturalLossKpaPerWeek: z.number().meta({ description: "what tyres lose by themselves: 1.5 psi in 30 days, as consumer pages give it" }),
    tyres: z.array(
      z.object({
        end: z.enum(["front", "rear"]),
        points: z.array(
          z.object({
            at: instantSchema,
            by: z.enum(["bench", "rider"]).meta({ description: "whose gauge it was" }),
            ...{ foundKpa: z.number(), leftKpa: z.number(), corrected: z.boolean(), lostKpa: z.number() },
          }),
        ),
        corrected: z.boolean().meta({ description: "every loss is between readings whose temperature was taken" }),
        kpaPerWeek: z.number().nullable().meta({ description: "positive for a loss; null under three readings" }),
        low: z.number().nullable(),
        high: z.number().nullable(),
        finding: z.enum(["too-few-readings", "natural", "watch", "slow-puncture"]),
        text: z.string(),
      }),
    ),
    caution: z.string(),
  })
  .meta({ id: "PressureTrend" });
export type PressureTrend = z.infer<typeof pressureTrendSchema>;
