// What the operator's commands share: opening the store that the environment names, and one sentence for any error.
import { type Config, fewestConnections } from "./config.ts";
import { type Database, openEmbedded } from "./database/database.ts";
import { openServer } from "./database/server-database.ts";

/** Opens the store of these settings. On a server this works beside the running service; for the embedded one the service has to be stopped. */
export const openStore = async ({ databaseUrl, dataFolder }: Config): Promise<Database> =>
  databaseUrl === null ? openEmbedded(dataFolder) : openServer(databaseUrl, fewestConnections);

/** Runs a command with its arguments. If it throws, prints one sentence and ends the process with 1. */
export async function runCommand(command: (words: readonly string[]) => Promise<void>): Promise<void> {
  try {
    await command(process.argv.slice(2));
  } catch (error) {
    console.error(`\n${error instanceof Error ? error.message : String(error)}`);
    process.exitCode = 1;
  }
}
