// What the records say of who rides what.
import { z } from "zod";
import { standingSchema } from "../contracts/common.ts";
import { day, idOf } from "./parts.ts";

/** The whole allocation of a depot's day, in place of the one before. Recorded since 2026-11-30. */
export const allocationKept = z.strictObject({
  depotId: idOf,
  day,
  /** how many times one was kept for this day, this one included */
  revision: z.number(),
  /** in the order in which they were sent; standing and flags as they were when it was kept, for a day to come at its beginning */
  allocations: z.array(
    z.strictObject({ staffId: idOf, machineId: idOf, standing: standingSchema, flags: z.array(z.enum(["licence-unknown", "not-ready"])) }),
  ),
});
