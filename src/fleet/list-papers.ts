import { z } from "zod";
import { daySchema, idSchema } from "../../shared/contracts/common.ts";
import type { AppContext } from "../acts/index.ts";
import { photosOfEach } from "../photos/index.ts";
import { type Actor, cursorFrom, pageFrom } from "../platform/index.ts";
import { papersAfter } from "./paper-store.ts";
import { paperSummary } from "./paper-summary.ts";

const placeSchema = z.tuple([daySchema, idSchema]);

/** A machine's papers, the one that lasts longest first, those that were ended with their ending, and the pictures of each. */
export async function listPapers(
  context: AppContext,
  actor: Actor,
  machineId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
  const rows = await papersAfter(context.db, machineId, cursorFrom(cursor, placeSchema), limit + 1);
  const photos = await photosOfEach(
    context.db,
    rows.map(({ id }) => id),
  );
  return pageFrom(
    rows,
    limit,
    (paper) => [paper.validTo, paper.id],
    (paper) => ({ ...paperSummary(paper, actor), ...photos(paper.id) }),
  );
}
