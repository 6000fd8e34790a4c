// What the records say of the firm's list of parts and of what lies on its shelves. An amount stands in whole minor units beside its currency (ISO 4217).
import { z } from "zod";
import { day, idOf, instant, text } from "./parts.ts";

/** The price for one from a day on; null: the one that began on that day is taken away. */
const price = z.strictObject({ fromDay: day, priceMinor: z.number().nullable(), currency: text });

const keptPart = {
  number: text,
  name: text,
  /** null: this part was not in the list */
  before: z.strictObject({ name: text }).nullable(),
  /** null: no price was changed */
  price: price.nullable(),
  /** what had stood for that day; null: nothing */
  priceBefore: z.strictObject({ priceMinor: z.number(), currency: text }).nullable(),
};

/** Recorded since 2026-11-30. */
export const partKept = z.strictObject(keptPart);

/** What a file changed in the list; a large file is told in several records. Recorded since 2026-11-30. */
export const partsImported = z.strictObject({ parts: z.array(z.strictObject(keptPart)) });

/** How many of a part lie at a depot, or came there. Recorded since 2026-11-30. */
export const stockRecorded = z.strictObject({
  /** as the list writes it */
  number: text,
  name: text,
  submitted: z.strictObject({ id: idOf, depotId: idOf, how: z.enum(["counted", "received"]), quantity: z.number(), at: instant }),
});
