// `npm run records:compare`: every machine's state against its records, in the store that the environment names. Ends with 1 at the
// first difference.
import { openStore, patiently, readConfig, runCommand } from "../platform/index.ts";
import { compareAll } from "./rebuild-state.ts";

await runCommand(async () => {
  const db = await openStore(readConfig(process.env));
  try {
    let compared = 0;
    await patiently(async () => {
      for await (const { machineId, differences } of compareAll(db)) {
        compared += 1;
        if (differences.length > 0) throw new Error(`Machine ${machineId}: ${differences.join("; ")}.`);
      }
    });
    console.log(`${compared} machines compared with their records: all agree.`);
  } finally {
    await db.close();
  }
});
