// Figures about a period: how honest the checks are, how often things fail, how long parts last, which machines need looking at.
// Every share and rate comes with its count and its 95 % interval.
import { z } from "zod";
import { categorySchema, daySchema, idSchema, inOrder, periodShape } from "./common.ts";
import { quantitySchema } from "./quantities.ts";

const count = z.number().int();

/** Days of the depots, both ends included; the last 28 unless told otherwise. */
export const insightQuerySchema = inOrder(z.strictObject({ depotId: idSchema.optional(), ...periodShape }));

/** Machines as of a day, those that most need looking at first. */
export const riskQuerySchema = z.strictObject({
  depotId: idSchema.optional(),
  to: daySchema.optional(),
  limit: z.coerce.number().int().min(1).max(200).default(50),
});

/** Counted back from a day that was asked for, so it may lie before the earliest that may be asked for. */
const countedDaySchema = z.iso.date();

const frameShape = { depotId: idSchema.nullable(), from: countedDaySchema, to: daySchema, caution: z.string() };

const shareShape = {
  count,
  of: count,
  share: z.number().nullable().meta({ description: "null where there is nothing to take a share of" }),
  low: z.number().meta({ description: "Wilson's interval, 95 %" }),
  high: z.number(),
};
export const figureSchema = z
  .object({ ...shareShape, question: z.string().meta({ description: "what to ask; a figure is no verdict on anybody" }) })
  .meta({ id: "HonestyFigure" });
export type Figure = z.infer<typeof figureSchema>;

const conductShape = {
  checks: count,
  nil: figureSchema.meta({ description: "checks that found nothing" }),
  foundAfterNil: figureSchema.extend({ defectIds: z.array(idSchema) }).meta({
    description:
      "of the nil checks after which a mechanic looked within 24 hours, those after which one was found at an item of the check; what a mechanic looked into and called no fault is none",
  }),
  tooFast: z.object({
    inAll: figureSchema,
    perItem: figureSchema,
    underHalfMedian: figureSchema.meta({ description: "less than half the median of all checks on the same model's sheet" }),
  }),
  proof: z.object({ missing: figureSchema, implausible: figureSchema }).meta({ description: "the one reading that each check asks for" }),
};
export type Conduct = { [Key in keyof typeof conductShape]: z.infer<(typeof conductShape)[Key]> };

const personShape = { staffId: idSchema, staffNumber: z.string(), name: z.string() };

const digitsShape = {
  readings: count,
  digits: z.array(count).length(10).meta({ description: "how often each last digit 0 to 9 was read, in steps of the gauge's mark" }),
  zeros: figureSchema,
  evenness: z
    .object({ chiSquare: z.number(), degreesOfFreedom: count, p: z.number() })
    .nullable()
    .meta({ description: "chi-square against all digits equally often; null under 50 readings" }),
};

export type Digits = { [Key in keyof typeof digitsShape]: z.infer<(typeof digitsShape)[Key]> };

export const honestySchema = z
  .object({
    ...frameShape,
    bars: z.object({
      tooFastSeconds: z.number(),
      tooFastSecondsPerItem: z.number(),
      sheets: z.array(z.object({ modelId: idSchema, modelName: z.string(), items: count, checks: count, medianSeconds: z.number() })),
    }),
    all: z.object(conductShape),
    people: z.array(z.object({ ...personShape, ...conductShape })).meta({ description: "by staff number: the order means nothing else" }),
    depots: z.array(z.object({ depotId: idSchema, name: z.string(), ...conductShape })),
    gauges: z.array(
      z.object({ ...personShape, ...digitsShape, quantities: z.array(z.object({ quantity: quantitySchema, ...digitsShape })) }),
    ),
    notApplicable: z
      .array(
        z.object({
          ...{ modelId: idSchema, modelName: z.string(), itemId: z.string(), itemName: z.string() },
          ...{ machineIds: z.array(idSchema), checks: count, question: z.string() },
        }),
      )
      .meta({ description: "items that a model has by its features and that were answered as not applicable, before the machine" }),
  })
  .meta({ id: "Honesty" });
export type Honesty = z.infer<typeof honestySchema>;

const rateShape = {
  defects: count.meta({ description: "found, whatever became of them" }),
  machineDays: z.number(),
  per1000: z.number().nullable().meta({ description: "defects in 1,000 machine-days; null under `leastMachineDays`: too little to say" }),
  low: z.number().nullable().meta({ description: "exact Poisson interval, 95 %" }),
  high: z.number().nullable(),
};
export type Rate = { [Key in keyof typeof rateShape]: z.infer<(typeof rateShape)[Key]> };
const hours = z.number().nullable().meta({ description: "null where so many are still open that it is not known" });
const serviceDaysShape = {
  machineDays: z.number().meta({
    description:
      "days of 24 hours in service: at a depot, from a machine's first day in service on, and not withdrawn; the present day as far as it has run",
  }),
  lostDays: z
    .object({ all: z.number(), grounded: z.number(), papersExpired: z.number(), inspectionOverdue: z.number() })
    .meta({ description: "of these, those on which the board said that a machine may not be ridden, by what it said first" }),
  withdrawnDays: z.number().meta({ description: "no part of those in service" }),
};
const clearShape = { found: count, cleared: count, open: count, lowerQuartileHours: hours, medianHours: hours, upperQuartileHours: hours };
export type TimeToClear = { [Key in keyof typeof clearShape]: z.infer<(typeof clearShape)[Key]> };

export const defectRatesSchema = z
  .object({
    ...frameShape,
    ...serviceDaysShape,
    groundedDays: z.number().meta({ description: "lostDays.grounded under its older name" }),
    leastMachineDays: z.number().meta({ description: "with fewer machine-days there is no rate" }),
    all: z.object(rateShape),
    noFault: count.meta({ description: "of all that were found, closed since no fault was found" }),
    done: z
      .object({ repaired: count, signedOff: count, noFault: count })
      .meta({ description: "repairs and closings made in the period, whenever the defect was found" }),
    byCategory: z.array(z.object({ category: categorySchema, ...rateShape })),
    byItem: z
      .array(z.object({ itemId: z.string().nullable(), itemName: z.string(), ...rateShape }))
      .meta({ description: "machine-days of the machines that have the item" }),
    byModel: z.array(z.object({ modelId: idSchema, modelName: z.string(), ...rateShape })),
    byDepot: z.array(z.object({ depotId: idSchema, name: z.string(), ...rateShape, lostDays: z.number() })),
    timeToClear: z.object({ all: z.object(clearShape), byCategory: z.array(z.object({ category: categorySchema, ...clearShape })) }).meta({
      description:
        "of those found, by Kaplan and Meier, from the first sighting to the act that closed it; one still open counts for as long as it has been",
    }),
  })
  .meta({ id: "DefectRates" });
export type DefectRates = z.infer<typeof defectRatesSchema>;

const sampleShape = { value: z.number(), low: z.number(), high: z.number(), outside: z.enum(["above", "below"]).nullable() };
const outsideSchema = z.array(z.string()).meta({ description: "what lies outside its limits, in words" });
export const controlChartsSchema = z
  .object({
    ...frameShape,
    checksWithDefect: z
      .object({
        centre: z.number(),
        samples: z.array(z.object({ day: countedDaySchema, checks: count, withDefect: count, ...sampleShape })),
        outside: outsideSchema,
      })
      .nullable()
      .meta({ description: "p-chart: the daily share of checks with a defect, limits by the day's number of checks; null without checks" }),
    defectsPerMachineDay: z
      .object({
        centre: z.number(),
        samples: z.array(
          z.object({
            week: z.string(),
            from: countedDaySchema,
            to: countedDaySchema,
            defects: count,
            machineDays: z.number(),
            ...sampleShape,
          }),
        ),
        outside: outsideSchema,
      })
      .nullable()
      .meta({
        description:
          "u-chart: defects in a machine-day by ISO week, limits by the week's machine-days; weeks with fewer than seven of them are left out, null where none is left",
      }),
  })
  .meta({ id: "ControlCharts" });
export type ControlCharts = z.infer<typeof controlChartsSchema>;

export const componentSchema = z
  .enum(["front-tyre", "rear-tyre", "front-linings", "rear-linings", "chain", "front-brake-cable", "rear-brake-cable"])
  .meta({ id: "Component" });
export type Component = z.infer<typeof componentSchema>;

export const componentLifeSchema = z
  .object({
    ...frameShape,
    components: z.array(
      z.object({
        component: componentSchema,
        name: z.string(),
        parts: count.meta({ description: "parts whose beginning is known" }),
        renewed: count,
        running: count,
        longestKm: z.number().nullable(),
        medianKm: z.number().nullable().meta({ description: "null where more than half still run" }),
        steps: z.array(z.object({ atKm: z.number(), atRisk: count, events: count, survival: z.number(), se: z.number() })),
      }),
    ),
  })
  .meta({ id: "ComponentLife" });
export type ComponentLife = z.infer<typeof componentLifeSchema>;

export const machineRiskSchema = z
  .object({
    depotId: idSchema.nullable(),
    to: daySchema,
    caution: z.string(),
    machines: z.array(
      z.object({
        machineId: idSchema,
        registrationMark: z.string(),
        modelName: z.string(),
        depotId: idSchema,
        depotName: z.string(),
        score: z.number().nullable().meta({ description: "null without an inspection in three years" }),
        inspections: count,
        years: z.array(
          z.object({
            from: countedDaySchema,
            to: countedDaySchema,
            weight: count,
            dangerous: count,
            advisory: count.meta({ description: "worth watching: they weigh nothing" }),
            major: count,
            minor: count,
            points: z.number(),
            inspections: count,
          }),
        ),
      }),
    ),
  })
  .meta({ id: "MachineRisk" });
export type MachineRisk = z.infer<typeof machineRiskSchema>;
