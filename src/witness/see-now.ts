import type { Checkpoint } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { readTimeStamps } from "./store.ts";
import { openWitness } from "./witness.ts";

/** Has one checkpoint time-stamped at once, for the pack that is being made. If that fails or takes too long, the pack is made without. */
export async function seeNow(context: KeysContext, { number, jws, takenAt }: Checkpoint): Promise<void> {
  try {
    const witness = await openWitness(context);
    if (!witness || (await readTimeStamps(context.db, number, number)).length > 0) return;
    await witness.see({ number, jws, takenAt: new Date(takenAt) });
  } catch (error) {
    context.log.warn({ err: error, checkpoint: number }, "the witness did not see a checkpoint at once; it is shown to it later");
  }
}
