// `npm run records:compare`: every machine's state against its records, in the store that the environment names. Ends with 1 at the
// first difference.
import { openEmbedded, openServer, patiently, readConfig } from "../platform/index.ts";
import { compareAll } from "./rebuild-state.ts";

const config = readConfig(process.env);
const db = config.databaseUrl === null ? await openEmbedded(config.dataFolder) : openServer(config.databaseUrl, config.databasePool);
const compare = async (): Promise<void> => {
  let compared = 0;
  for await (const { machineId, differences } of compareAll(db)) {
    compared += 1;
    if (differences.length === 0) continue;
    console.error(`Machine ${machineId}: ${differences.join("; ")}.`);
    process.exitCode = 1;
    break;
  }
  if (process.exitCode !== 1) console.log(`${compared} machines compared with their records: all agree.`);
};
try {
  await patiently(compare);
} finally {
  await db.close();
}
