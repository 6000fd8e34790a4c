// What is asked of the reports. Most answers are PDF files; the completeness of a month is data.
import { z } from "zod";
import { daySchema, idSchema, inOrder, instantSchema, languageSchema, monthSchema, periodShape } from "./common.ts";

/** The language of a paper, the same member on every one. */
const inWordsShape = {
  lang: languageSchema.optional().meta({
    description:
      "language of the paper; left out: the language of these that Accept-Language likes best, and English where it names none of them",
  }),
};

/** A past moment: the report says what it would have said then, from what had arrived by then. Without it: now. */
const asAtShape = { at: instantSchema.optional(), ...inWordsShape };

/** Of a paper about the present, of which nothing else is asked. */
export const paperQuerySchema = z.strictObject(inWordsShape);

export const defectReportQuerySchema = z.strictObject(asAtShape);
export const machinePeriodQuerySchema = inOrder(z.strictObject({ ...periodShape, ...asAtShape }));
export const defectSummaryQuerySchema = inOrder(z.strictObject({ depotId: idSchema.optional(), ...periodShape, ...asAtShape }));
export const fleetDayQuerySchema = z
  .strictObject({ depotId: idSchema.optional(), on: daySchema.optional(), ...asAtShape })
  .refine(({ on, at }) => on === undefined || at === undefined, { path: ["at"], message: "goes without `on`: one of them says when" });
/** A month of the depots' days; the present one as far as it has come. */
export const fleetReviewQuerySchema = z.strictObject({
  month: monthSchema,
  depotId: idSchema.optional(),
  ...inWordsShape,
});
export const machineLabelsQuerySchema = z.strictObject({
  depotId: idSchema.optional(),
  machineId: idSchema.optional().meta({ description: "one label only, for a machine that has lost its own" }),
  ...inWordsShape,
});

export const blankSheetQuerySchema = z.strictObject({ kind: z.enum(["daily", "weekly"]).default("daily"), ...inWordsShape });

export const completenessQuerySchema = z.strictObject({
  month: monthSchema,
  depotId: idSchema.meta({ description: "days are those of its calendar" }),
  cursor: z.string().max(500).optional(),
});
export type CompletenessQuery = z.infer<typeof completenessQuerySchema>;

export const dayVerdictSchema = z.enum(["nil", "nothing-new", "defect", "ridden", "missing", "not-in-use", "withdrawn", "outside"]).meta({
  id: "DayVerdict",
  description:
    "nil, defect: checked, without and with a finding. nothing-new: checked without a finding while an older defect stood open. ridden: the odometer says that it was ridden without a check. missing: no check, and nothing shows that it stood. not-in-use: no check and no sign of riding. withdrawn: all day. outside: not in the fleet or the depot, or not over",
});
export type DayVerdict = z.infer<typeof dayVerdictSchema>;

export const completenessSchema = z
  .object({
    month: z.string(),
    depotId: idSchema,
    days: z.array(daySchema),
    items: z.array(
      z.object({
        machineId: idSchema,
        registrationMark: z.string(),
        modelName: z.string(),
        verdicts: z.array(dayVerdictSchema).meta({ description: "one for each of the days" }),
      }),
    ),
    nextCursor: z.string().nullable(),
  })
  .meta({ id: "Completeness" });
export type Completeness = z.infer<typeof completenessSchema>;
