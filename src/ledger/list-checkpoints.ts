import { z } from "zod";
import type { KeysContext } from "../keys/index.ts";
import { cursorFrom, pageFrom } from "../platform/index.ts";
import { checkpointsBefore } from "./store.ts";

const placeSchema = z.tuple([z.string().regex(/^\d{1,9}$/)]);

/** The checkpoints, newest first. */
export async function listCheckpoints(context: KeysContext, { limit, cursor }: { limit: number; cursor?: string | undefined }) {
  const [before] = cursorFrom(cursor, placeSchema) ?? [];
  const rows = await checkpointsBefore(context.db.rows, before === undefined ? null : Number(before), limit + 1);
  return pageFrom(
    rows,
    limit,
    ({ number }) => [String(number)],
    (checkpoint) => checkpoint,
  );
}
