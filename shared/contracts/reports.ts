// What is asked about papers. The answers are PDF files.
import { z } from "zod";
import { daySchema, idSchema, inOrder, instantSchema, monthSchema, periodShape } from "./common.ts";

/** A past moment: the paper says what it said then, from what had arrived by then. Without it: now. */
const asAtShape = { at: instantSchema.optional() };

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
});
export const blankSheetQuerySchema = z.strictObject({ kind: z.enum(["daily", "weekly"]).default("daily") });
