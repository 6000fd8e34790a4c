// What follows on something that is stored: told to others, tidied up, looked at again.
import type { ServiceContext } from "./context.ts";

/**
 * Does it, and lets nothing that goes wrong with it reach the answer: whoever is told that their act was refused does it again, and it is
 * stored already. It is noted in the log; `what` says what was left undone. For work that is made up for by itself.
 */
export async function afterwards({ log }: Pick<ServiceContext, "log">, what: string, work: () => Promise<unknown>): Promise<void> {
  try {
    await work();
  } catch (error) {
    log.error({ err: error }, `stored, but ${what}`);
  }
}
