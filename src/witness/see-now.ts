import type { Checkpoint } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { readTimeStamps } from "./store.ts";
import { openWitness } from "./witness.ts";

/** Shows one checkpoint to the witness at once, for what is being made with it. Where that fails, or takes too long, it is made without. */
export async function seeNow(context: KeysContext, { number, jws, takenAt }: Checkpoint): Promise<void> {
  try {
    const witness = await openWitness(context);
    if (!witness || (await readTimeStamps(context.db, number, number)).length > 0) return;
    await witness.see({ number, jws, takenAt: new Date(takenAt) });
  } catch (error) {
    context.log.warn({ err: error, checkpoint: number }, "the witness did not see a checkpoint at once; it is shown to it later");
  }
}
