// Work that follows once something is stored: notifying others, tidying up, looking again.
import type { ServiceContext } from "./context.ts";

/**
 * Does the work, and keeps its errors away from the answer: whoever is told that their act failed does it again, although it is stored already.
 * An error is logged; `what` says what was left undone. Only for work that is made up for by itself later.
 */
export async function afterwards({ log }: Pick<ServiceContext, "log">, what: string, work: () => Promise<unknown>): Promise<void> {
  try {
    await work();
  } catch (error) {
    log.error({ err: error }, `stored, but ${what}`);
  }
}
