import type { CheckpointTimeStamp } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { checkpointNumbered, checkpointSha256 } from "../ledger/index.ts";
import { platformErrors } from "../platform/index.ts";
import { readTimeStamps } from "./store.ts";

/** The time-stamp of a checkpoint. Throws `not-found` if there is no such checkpoint, or it has no time-stamp. */
export async function showTimeStamp({ db }: KeysContext, number: number): Promise<CheckpointTimeStamp> {
  const checkpoint = await checkpointNumbered(db, number);
  if (!checkpoint) throw platformErrors.problem("not-found", `There is no checkpoint ${number}.`);
  const [found] = await readTimeStamps(db, number, number);
  if (!found) throw platformErrors.problem("not-found", `No witness from outside has seen checkpoint ${number} so far.`);
  const { stampedAt, authority, isBelieved, receivedAt, token } = found;
  return {
    ...{ number, sha256: checkpointSha256(checkpoint), authority, isBelieved, token: token.toString("base64") },
    ...{ stampedAt: stampedAt.toISOString(), receivedAt: receivedAt.toISOString() },
  };
}
