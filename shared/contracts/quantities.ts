// What can be measured on a machine, and in which units a gauge may show it.
import { z } from "zod";

export const quantitySchema = z
  .enum([
    "odometer",
    "charge",
    "front-tyre-pressure",
    "rear-tyre-pressure",
    "front-tread",
    "rear-tread",
    "chain-slack",
    "chain-length",
    "front-brake-free-travel",
    "rear-brake-free-travel",
    "front-lining",
    "rear-lining",
    "front-wheel-run-out",
    "rear-wheel-run-out",
    "brake-rod-diameter",
    "plug-gap",
    "clutch-free-travel",
    "throttle-free-play",
    "engine-oil-level",
    "gearcase-oil-level",
    "brake-efficiency",
  ])
  .meta({ id: "Quantity" });
export type Quantity = z.infer<typeof quantitySchema>;

/** Units as written on gauges; `percent` of a dipstick's span between its marks for oil levels, of a full battery for charge. */
export const unitSchema = z.enum(["km", "kPa", "psi", "bar", "mm", "percent"]).meta({ id: "Unit" });
export type Unit = z.infer<typeof unitSchema>;

/** One reading as the gauge showed it. The unit is kept: it is never converted without being asked. */
export const readingSchema = z
  .strictObject({ quantity: quantitySchema.optional(), value: z.number().finite(), unit: unitSchema, readTwice: z.boolean().optional() })
  .meta({ id: "Reading" });
export type Reading = z.infer<typeof readingSchema>;

/** A measured item of the weekly inspection: before the work and, where work was done, after it. */
export const foundAndLeftSchema = z
  .strictObject({ asFound: z.number().finite(), asLeft: z.number().finite().optional(), unit: unitSchema })
  .meta({ id: "FoundAndLeft" });
export type FoundAndLeft = z.infer<typeof foundAndLeftSchema>;
