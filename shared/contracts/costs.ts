// What machines cost: repairs and stays at other workshops, priced, with what is not known beside each sum.
import { z } from "zod";
import { unknownKinds } from "../rules/costs.ts";
import { daySchema, idSchema, inOrder, periodShape } from "./common.ts";
import { currencySchema } from "./parts.ts";

const amount = z.number().int();
const count = z.number().int();

/** Days of the depots, both ends included; the last 28 unless told otherwise. */
export const costsQuerySchema = inOrder(
  z.strictObject({
    depotId: idSchema.optional(),
    ...periodShape,
    by: z.enum(["machine", "model"]).default("machine"),
    format: z.enum(["json", "csv"]).default("json"),
  }),
);
export type CostsQuery = z.infer<typeof costsQuerySchema>;

const unknownSchema = z
  .object(Object.fromEntries(unknownKinds.map((why) => [why, count])) as Record<(typeof unknownKinds)[number], typeof count>)
  .meta({ id: "CostsUnknown", description: "how often something that costs money is not known, by why; the sums hold nothing of it" });

const costsShape = {
  partsMinor: amount,
  labourMinor: amount.meta({ description: "minutes of repairs at the workshop's hourly rate" }),
  outsideMinor: amount.meta({ description: "invoices of other workshops" }),
  totalMinor: amount,
  repairs: count,
  stays: count.meta({ description: "returns from other workshops" }),
  pricedLater: count.meta({ description: "lines priced by a price or rate that was first set after their day" }),
  unknown: unknownSchema,
  isAtLeast: z.boolean().meta({ description: "something is not known: it cost at least that" }),
  km: count.nullable().meta({ description: "ridden, by odometer readings; null: fewer than two, so nobody knows" }),
  perThousandKmMinor: amount.nullable().meta({ description: "for 1,000 km, of machines whose distance is known; null under 100 km" }),
};
const currency = currencySchema.nullable().meta({ description: "ISO 4217; null: the firm has not said it, and nothing is priced" });

const lineSchema = z
  .object({
    id: idSchema.nullable().meta({ description: "of the machine or the model; null for all together" }),
    name: z.string(),
    modelName: z.string().nullable(),
    machines: count,
    machinesWithoutKm: count.meta({ description: "of which nobody knows how far they were ridden" }),
    ...costsShape,
  })
  .meta({ id: "CostLine" });
export type CostLine = z.infer<typeof lineSchema>;

export const costsSchema = z
  .object({
    ...{ depotId: idSchema.nullable(), from: z.iso.date(), to: daySchema, by: z.enum(["machine", "model"]) },
    currency,
    hourlyRateMinor: amount.nullable().meta({ description: "the workshop's, as the policy has it today" }),
    rows: z.array(lineSchema).meta({ description: "the dearest first" }),
    total: lineSchema,
  })
  .meta({ id: "Costs" });
export type CostsAnswer = z.infer<typeof costsSchema>;

export const machineCostsSchema = z
  .object({ machineId: idSchema, since: daySchema.meta({ description: "its first day in service" }), currency, ...costsShape })
  .meta({ id: "MachineCosts" });
export type MachineCosts = z.infer<typeof machineCostsSchema>;
