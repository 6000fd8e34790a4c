// What is sent and answered about the firm's list of parts.
import { z } from "zod";
import { mostMinor } from "../rules/money.ts";
import { partKey } from "../rules/part-prices.ts";
import { daySchema, idSchema, instantSchema, pageOf, pageQuerySchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";

export const minorSchema = z
  .number()
  .int()
  .min(0)
  .max(mostMinor)
  .meta({ id: "MinorUnits", description: "whole minor units of the currency: cents, pence, yen" });
export const currencySchema = z.string().meta({ description: "ISO 4217", example: "EUR" });

/** A number that is in the list or may be put there: something is left of it once spaces are gone. */
export const partNumberSchema = textSchema(limits.listedPartNumber).refine(
  (number) => partKey(number) !== "" && partKey(number).length <= limits.partNumber,
  "holds nothing to be known by, or too much",
);

export const partParamsSchema = z.strictObject({ number: partNumberSchema });

export const partBodySchema = z
  .strictObject({
    name: textSchema(limits.partName),
    priceMinor: minorSchema
      .nullable()
      .optional()
      .meta({ description: "for one, in the firm's currency; null takes away the price that begins on `fromDay`; left out: prices stay" }),
    fromDay: daySchema.optional().meta({ description: "the day from which the price holds; left out: today, in UTC" }),
  })
  .refine(({ priceMinor, fromDay }) => fromDay === undefined || priceMinor !== undefined, {
    message: "say which price begins on that day",
    path: ["priceMinor"],
  })
  .meta({ id: "PartBody" });
export type PartBody = z.infer<typeof partBodySchema>;

const priceSchema = z.object({ fromDay: daySchema, priceMinor: minorSchema, currency: currencySchema });

export const stockBodySchema = z
  .strictObject({
    id: idSchema,
    depotId: idSchema.meta({ description: "on whose shelf it lies" }),
    how: z
      .enum(["counted", "received"])
      .meta({ description: "counted: so many lie there now, whatever was thought. received: so many came" }),
    quantity: z.number().min(0).max(limits.stockQuantity),
    at: instantSchema.meta({ description: "when it was counted or came" }),
  })
  .refine(({ how, quantity }) => how === "counted" || quantity > 0, { message: "say how many came", path: ["quantity"] })
  .meta({ id: "StockBody" });
export type StockBody = z.infer<typeof stockBodySchema>;

export const stockSchema = z
  .object({
    depotId: idSchema,
    counted: z.object({ quantity: z.number(), at: instantSchema }).meta({ description: "the last count" }),
    received: z.number().meta({ description: "came since" }),
    fitted: z.number().meta({ description: "fitted since in repairs of machines of this depot, as far as they name the number" }),
    onHand: z.number().meta({ description: "counted + received - fitted; less than nothing: count again" }),
  })
  .meta({ id: "Stock" });
export type Stock = z.infer<typeof stockSchema>;

export const partSchema = z
  .object({
    number: z.string().meta({ description: "as it was written first; compared without spaces and case" }),
    name: z.string(),
    price: priceSchema.nullable().meta({ description: "the one that holds today; null: none does" }),
    prices: z.array(priceSchema).meta({ description: "all that are known, by the day from which they hold" }),
    keptAt: instantSchema.meta({ description: "when it was last changed" }),
    stock: stockSchema
      .nullable()
      .optional()
      .meta({ description: "at the depot that was asked for; null: it was never counted there. Not there where no depot was asked for" }),
  })
  .meta({ id: "Part" });
export type Part = z.infer<typeof partSchema>;

export const partListQuerySchema = pageQuerySchema.extend({
  depotId: idSchema.optional().meta({ description: "also says what lies there" }),
  search: textSchema(limits.partName).optional().meta({ description: "what stands in the number, spaces and case aside, or in the name" }),
});
export type PartListQuery = z.infer<typeof partListQuerySchema>;

export const partListSchema = pageOf(partSchema);

export const partFileSchema = z.string().min(1).meta({
  id: "PartFile",
  description:
    "CSV in UTF-8 with a header: number, name, price and, if you like, fromDay. Commas or semicolons; a price in whole units with a point or a comma, or none",
  example: "number;name;price;fromDay\n4711-08;Brake cable front;12,50;2026-11-01\n",
});

export const partImportReceiptSchema = z
  .object({
    read: z.number().int(),
    added: z.number().int(),
    changed: z.number().int(),
    unchanged: z.number().int().meta({ description: "as the list had them already; not recorded again" }),
  })
  .meta({ id: "PartImportReceipt" });
export type PartImportReceipt = z.infer<typeof partImportReceiptSchema>;
