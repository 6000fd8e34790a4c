// The bench calculations: they store nothing, and use the same functions as the rest of the service. The bounds keep out what no workshop
// can mean, and what would overflow a number.
import { z } from "zod";

const between = (least: number, most: number) => z.number().min(least).max(most);
const lengthMm = (most: number) => z.number().min(0.001).max(most);
/** Far beyond any reading, far within a double. */
const anyValue = between(-1e12, 1e12);
const confidence = between(0.001, 0.999999).default(0.95).meta({ description: "0.95 where it is left out" });
/** As many points, or parts, as one call takes. */
const MOST_POINTS = 10_000;

const slackMm = between(0, 5_000);
export const chainAdjustmentBodySchema = z
  .strictObject({
    spanMm: lengthMm(5_000).meta({ description: "Length of the run between the sprockets" }),
    slackAsFoundMm: slackMm.meta({ description: "Total travel, up and down, at mid-span" }),
    slackWantedMm: slackMm,
    adjusterPitchMm: between(0.1, 10),
  })
  .superRefine((body, context) => {
    for (const field of ["slackAsFoundMm", "slackWantedMm"] as const) {
      if (body[field] < body.spanMm || body.spanMm <= 0) continue;
      context.addIssue({ code: "custom", path: [field], message: "a chain does not move as far as its run is long" });
    }
  });
export const chainAdjustmentAnswerSchema = z
  .object({
    axleTravelMm: z.number().meta({ description: "Positive to the rear, which tightens" }),
    flatsPerSide: z.number().int().meta({ description: "Whole flats of a hexagon, the same on both sides, rounded down: measure again" }),
    flatsExact: z.number(),
    direction: z.enum(["tighten", "slacken", "none"]),
  })
  .meta({ id: "ChainAdjustment" });

export const chainElongationBodySchema = z.strictObject({
  pitchMm: between(1, 100),
  pitches: z.number().int().min(1).max(1_000).meta({ description: "Pitches, not pins: 21 pins span 20" }),
  lengthMm: lengthMm(100_000),
});
export const chainElongationAnswerSchema = z.object({ elongationPercent: z.number() }).meta({ id: "ChainElongation" });

const celsius = z.number().gt(-273.15).max(1_000).meta({ description: "Above absolute zero" });
export const pressureAtTemperatureBodySchema = z
  .strictObject({
    gaugeKpa: between(-200, 100_000),
    fromCelsius: celsius,
    toCelsius: celsius,
    atmosphereKpa: between(0, 200).optional().meta({ description: "101.325 where it is left out" }),
  })
  .refine((body) => body.gaugeKpa + (body.atmosphereKpa ?? 101.325) > 0, {
    path: ["gaugeKpa"],
    message: "lies below a vacuum",
  });
export const pressureAtTemperatureAnswerSchema = z.object({ gaugeKpa: z.number() }).meta({ id: "PressureAtTemperature" });

export const brakeEfficiencyBodySchema = z.strictObject({
  speedKmh: z.number().min(0.001).max(1_000),
  distanceM: z.number().min(0.001).max(100_000),
});
export const brakeEfficiencyAnswerSchema = z
  .object({ efficiencyPercent: z.number(), decelerationMs2: z.number() })
  .meta({ id: "BrakeEfficiency" });

export const linearTrendBodySchema = z.strictObject({
  points: z
    .array(z.tuple([anyValue, anyValue]))
    .min(3, "too few readings: a line with an interval wants three or more")
    .max(MOST_POINTS)
    .meta({ description: "[x, y] each, at two or more different x" }),
  limit: anyValue.optional().meta({ description: "The y at which the part is worn" }),
  confidence,
});
const openEnd = z.number().nullable();
export const linearTrendAnswerSchema = z
  .object({
    slope: z.number(),
    intercept: z.number(),
    slopeSe: z.number(),
    interceptSe: z.number(),
    residualSd: z.number(),
    rSquared: z.number(),
    limitAtX: z.number().optional().meta({ description: "Where the line meets the limit; absent where it runs level" }),
    limitInterval: z
      .object({ low: openEnd, high: openEnd })
      .optional()
      .meta({ description: "Where the limit lies inside the prediction interval of one new reading; null where that has no end" }),
  })
  .meta({ id: "LinearTrend" });

export const proportionIntervalBodySchema = z
  .strictObject({ count: z.number().int().min(0).max(1e9), of: z.number().int().min(1).max(1e9), confidence })
  .refine(({ count, of }) => count <= of || of < 1, { path: ["count"], message: "is more than there are" });
export const intervalSchema = z.object({ low: z.number(), high: z.number() }).meta({ id: "Interval" });

export const rateIntervalBodySchema = z.strictObject({
  events: z.number().int().min(0).max(1e6),
  exposure: z.number().min(1e-9).max(1e12),
  confidence,
});
export const rateIntervalAnswerSchema = z.object({ rate: z.number(), low: z.number(), high: z.number() }).meta({ id: "RateInterval" });

export const survivalBodySchema = z.strictObject({
  times: z
    .array(
      z.strictObject({
        at: between(0, 1e12),
        event: z.boolean().meta({ description: "True: renewed at this age. False: still running at it" }),
      }),
    )
    .min(1)
    .max(MOST_POINTS),
});
export const survivalAnswerSchema = z
  .object({
    steps: z.array(
      z.object({
        at: z.number(),
        atRisk: z.number().int(),
        events: z.number().int(),
        survival: z.number(),
        se: z.number().meta({ description: "Greenwood's standard error; 0 where none is left" }),
      }),
    ),
  })
  .meta({ id: "Survival" });
