// What the operator's commands have in common: the store that the environment names, and one sentence for whatever goes wrong.
import { type Config, fewestConnections } from "./config.ts";
import { type Database, openEmbedded } from "./database/database.ts";
import { openServer } from "./database/server-database.ts";

/** The store of these settings, for one hand: beside the running service where that is a server; the embedded one has to be stopped for it. */
export const openStore = async ({ databaseUrl, dataFolder }: Config): Promise<Database> =>
  databaseUrl === null ? openEmbedded(dataFolder) : openServer(databaseUrl, fewestConnections);

/** Runs a command with the words behind it. What it throws is said as one sentence, and the process ends with 1. */
export async function runCommand(command: (words: readonly string[]) => Promise<void>): Promise<void> {
  try {
    await command(process.argv.slice(2));
  } catch (error) {
    console.error(`\n${error instanceof Error ? error.message : String(error)}`);
    process.exitCode = 1;
  }
}
