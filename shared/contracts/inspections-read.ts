// A weekly inspection that is read again, alone or in a list, with what has been added to it since.
import { z } from "zod";
import { forgottenBySchema, weeklyInspectionReceiptSchema, weeklyInspectionSchema } from "./checks.ts";
import { pageOf } from "./common.ts";
import { secretBesideShape } from "./people.ts";

export const shownWeeklyInspectionSchema = weeklyInspectionReceiptSchema.extend(secretBesideShape).meta({ id: "ShownWeeklyInspection" });

export const listedWeeklyInspectionSchema = weeklyInspectionSchema
  .extend({
    sheetVersion: z.string().nullable(),
    modelRevision: z.number().int().nullable(),
    forgottenBy: forgottenBySchema,
    ...secretBesideShape,
  })
  .meta({ id: "ListedWeeklyInspection" });
export type ListedWeeklyInspection = z.infer<typeof listedWeeklyInspectionSchema>;

export const weeklyInspectionListSchema = pageOf(listedWeeklyInspectionSchema);
