// What is answered about a sheet: the items of this very machine, what can be seen and measured at each, and the reading of the day.
import { z } from "zod";
import { categorySchema, competenceSchema, daySchema, idSchema } from "./common.ts";
import { quantitySchema, unitSchema } from "./quantities.ts";

export const sheetKindSchema = z.enum(["daily", "weekly"]).meta({ id: "SheetKind" });
export const sheetQuerySchema = z.strictObject({ kind: sheetKindSchema });

export const limitSchema = z
  .object({
    kind: z.enum(["handbook", "legal", "common-practice", "not-set"]),
    least: z.number().nullable(),
    most: z.number().nullable(),
    unit: unitSchema,
    source: z.string(),
  })
  .meta({ id: "Limit" });

export const measurementSchema = z
  .object({
    quantity: quantitySchema,
    units: z.array(unitSchema).meta({ description: "units that a gauge for it may show" }),
    limit: limitSchema,
    takenAt: z
      .enum(["inspection", "sign-off"])
      .meta({ description: "weekly items: with the answer; daily items: only to sign a defect off" }),
    optional: z.boolean(),
    method: z.string().meta({ description: "how it is measured: the limit means nothing without it" }),
    severalPlaces: z.enum(["least", "most"]).nullable().meta({ description: "which of several places decides; null where one is read" }),
    source: z
      .object({ title: z.string(), locator: z.string(), basis: z.string(), note: z.string().optional() })
      .nullable()
      .meta({ description: "of the limit; null where none is set" }),
  })
  .meta({ id: "Measurement" });

export const sheetSchema = z
  .object({
    machineId: idSchema,
    sheetVersion: z.string(),
    sheetSha256: z
      .string()
      .meta({ description: "SHA-256 of everything that this version says, for every machine: records carry the same" }),
    kind: sheetKindSchema,
    day: daySchema.meta({ description: "the depot's day for which the proof reading is asked" }),
    tools: z.array(z.object({ id: z.string(), name: z.string() })),
    stations: z.array(
      z.object({
        id: z.string(),
        name: z.string(),
        items: z.array(
          z.object({
            id: z.string(),
            prompt: z.string(),
            how: z.string(),
            why: z.string(),
            competence: competenceSchema,
            secondPerson: z.boolean(),
            about: z
              .enum(["machine", "rider"])
              .meta({ description: "what is wrong with the rider stops this rider and is no defect of the machine" }),
            notApplicable: z.boolean().meta({ description: "may be answered as not applicable: the model may have a feature wrong" }),
            riderMayPutRight: z.boolean().meta({ description: "`put-right` is taken here, for those observations that say so too" }),
            observations: z.array(
              z.object({
                id: z.string(),
                text: z.string(),
                category: categorySchema,
                source: z.string(),
                riderMayPutRight: z
                  .enum(["seen", "measured"])
                  .nullable()
                  .meta({ description: "`measured`: with a reading after it; null: a defect, whatever was done about it" }),
              }),
            ),
            measurement: measurementSchema.optional(),
            oil: z
              .object({ due: z.boolean(), kmLeft: z.number().nullable(), daysLeft: z.number().int().nullable(), text: z.string() })
              .optional()
              .meta({
                description:
                  "at the item where oil, brake fluid, belt or coolant is changed or the valves are set: what is left of the handbook's interval",
              }),
          }),
        ),
      }),
    ),
    proof: z
      .object({
        quantity: quantitySchema,
        unit: unitSchema.meta({ description: "the handbook's; a reading may come in any of `units`" }),
        min: z.number().meta({ description: "what is believable in `unit`: outside it the reading is asked about once" }),
        max: z.number(),
        units: z.array(unitSchema).meta({ description: "units that the gauge at hand may show" }),
        method: z.string().meta({ description: "how it is read: the limit means nothing without it" }),
        load: z
          .enum(["solo", "laden"])
          .nullable()
          .meta({ description: "which handbook pressure it is judged by unless said; null where the load does not matter" }),
        itemId: z.string().nullable().meta({ description: "where a reading outside its limits is a finding" }),
        limit: limitSchema.meta({ description: "what the reading has to keep" }),
      })
      .nullable(),
    itemOfTheDay: z.string().nullable().meta({ description: "the item that is asked by itself today; null on a weekly sheet" }),
    caution: z.string(),
  })
  .meta({ id: "Sheet" });
export type Sheet = z.infer<typeof sheetSchema>;
