import type { z } from "zod";
import type { holdListQuerySchema } from "../../shared/contracts/keeping.ts";
import type { AppContext } from "../acts/index.ts";
import { cursorFrom, momentAndIdSchema, pageFrom } from "../platform/index.ts";
import { findHolds } from "./store.ts";

/** Legal holds, newest first. */
export async function listHolds(context: AppContext, { state, cursor, limit }: z.infer<typeof holdListQuerySchema>) {
  const rows = await findHolds(context.db.rows, state, cursorFrom(cursor, momentAndIdSchema), limit);
  return pageFrom(
    rows,
    limit,
    (hold) => [hold.placedAt, hold.id],
    (hold) => hold,
  );
}
