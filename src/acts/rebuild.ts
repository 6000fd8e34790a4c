// `npm run records:rebuild`: what is kept of every machine, made anew from its records wherever it cannot be read or differs from them, in
// the store that the environment names, beside the running service where that is a server. Ends with 1 where something could not be rebuilt.
import { type Database, openStore, patiently, readConfig, runCommand } from "../platform/index.ts";
import { mendState } from "./mend-state.ts";
import { machineIdsAfter } from "./store.ts";

const failed = (machineId: string, why: string): void => {
  console.error(`Machine ${machineId}: ${why}.`);
  process.exitCode = 1;
};

async function rebuild(db: Database, machineId: string): Promise<boolean> {
  try {
    const mended = await mendState(db, machineId);
    if (mended === null || mended.differences.length === 0) return false;
    console.log(`Machine ${machineId}: ${mended.differences.join("; ")}.`);
    const { state, history, historyLeft } = mended;
    if (historyLeft !== null) failed(machineId, `its past is not rebuilt: ${historyLeft}`);
    if (!state && history === 0 && historyLeft === null) failed(machineId, "this is not in its state, and was left as it is");
    return state || history > 0;
  } catch (error) {
    failed(machineId, `could not be rebuilt: ${error instanceof Error ? error.message : String(error)}`);
    return false;
  }
}

await runCommand(async () => {
  const db = await openStore(readConfig(process.env));
  try {
    await patiently(async () => {
      let [looked, rebuilt] = [0, 0];
      for (let ids = await machineIdsAfter(db, null, 500); ids.length > 0; ids = await machineIdsAfter(db, ids.at(-1) ?? null, 500)) {
        for (const id of ids) {
          looked += 1;
          if (await rebuild(db, id)) rebuilt += 1;
        }
      }
      console.log(`${looked} machines compared with their records, ${rebuilt} rebuilt from them.`);
    });
  } finally {
    await db.close();
  }
});
