// Reads the environment, opens the house, listens, and closes in order.
import { mkdirSync } from "node:fs";
import { buildApp } from "./app.ts";
import { keepPacking } from "./audit/index.ts";
import { keepForgetting } from "./keeping/index.ts";
import { keepSealing, openOwnKeys } from "./ledger/index.ts";
import { carryOutChanges, findFirm, foundFirm, openPeople } from "./people/index.ts";
import { knowFolder } from "./photos/index.ts";
import {
  asFirstStart,
  BoundClock,
  type Config,
  type Database,
  endWatching,
  type House,
  idsFrom,
  isUnfinished,
  keepTime,
  openEmbedded,
  openLog,
  openServer,
  patiently,
  readConfig,
  saltsFromSystem,
} from "./platform/index.ts";
import { keepWitnessing, openWitness } from "./witness/index.ts";

// What is under way may finish; a client that never does is not waited for.
const mostSecondsToClose = 10;

const say = (line: string): void => console.log(line);

async function openDatabase(config: Config): Promise<Database> {
  mkdirSync(config.dataFolder, { recursive: true, mode: 0o700 });
  const unfinished = isUnfinished(config.dataFolder);
  if (config.databaseUrl !== null) {
    if (unfinished) {
      throw new Error(
        `The first start was interrupted and left half a demo firm. Empty that database, remove first-start.unfinished in ${config.dataFolder}, and start again.`,
      );
    }
    return openServer(config.databaseUrl, config.databasePool, config.databaseLimitMs);
  }
  if (unfinished) say("The first start was interrupted; what it left is removed, and it begins anew.");
  say(`Opening the embedded database in ${config.dataFolder} ...`);
  return openEmbedded(config.dataFolder);
}

/** Production founds the firm that its environment names; anywhere else an empty store gets the demo firm, unless the configuration says no. */
async function foundWhereEmpty(house: House): Promise<void> {
  const { config, db } = house;
  const firm = await findFirm(db);
  if (firm?.demo && config.environment === "production") {
    throw new Error("This store holds the demo firm, whose secrets are known to everybody. A service in production does not start on it.");
  }
  if (firm) return;
  if (config.firstStart !== null) {
    const { firmName, managerNumber, managerSecret } = config.firstStart;
    await foundFirm(house, {
      name: firmName,
      demo: false,
      manager: { staffNumber: managerNumber, name: managerNumber, secret: managerSecret },
    });
    say(`Founded ${firmName}. Its manager ${managerNumber} can sign in now, and chooses a secret of their own first.`);
    return;
  }
  if (config.environment === "production") {
    throw new Error("The store is empty. For the first start give FERRULE_FIRM_NAME, FERRULE_MANAGER_NUMBER and FERRULE_MANAGER_SECRET.");
  }
  if (!config.demo) {
    throw new Error(
      "The store is empty. Give FERRULE_FIRM_NAME, FERRULE_MANAGER_NUMBER and FERRULE_MANAGER_SECRET for a firm of your own, or FERRULE_DEMO=yes for the demo firm, whose secrets are known to everybody; a database on another machine gets it only so.",
    );
  }
  say("The store is empty: founding the demo firm with 13 weeks of history ...");
  const { foundDemoFirm } = await import("../seeds/index.ts");
  await asFirstStart(config.dataFolder, async () => {
    await foundDemoFirm(house, { say });
  });
}

async function main(): Promise<void> {
  const config = readConfig(process.env);
  const db = await openDatabase(config);
  const clock = new BoundClock();
  const log = openLog(config.logLevel);
  const house: House = { db, clock, config, log, newId: idsFrom(clock), newSalt: saltsFromSystem };
  try {
    const witness = await openWitness(house);
    const applied = await db.migrate();
    if (applied.length > 0) say(`Migrated the database: ${applied.join(", ")}.`);
    const stopTime = await keepTime({ db, clock, log });
    const carriedOut = await patiently(() => carryOutChanges(house));
    if (carriedOut.length > 0) say(`Changed what is stored, with its records: ${carriedOut.join(", ")}.`);
    await patiently(() => foundWhereEmpty(house));
    const keys = await openOwnKeys(house);
    await knowFolder(house);
    const people = await openPeople(house, keys);
    const witnessing = witness && (await keepWitnessing(house, witness));
    const app = await buildApp(house, people.authenticate, witnessing?.gauges);
    const stopSealing = keepSealing(house);
    const stopPacking = await keepPacking(house);
    const stopForgetting = keepForgetting(house);
    const address = await app.listen({ port: config.port, host: config.host });

    let closing = false;
    const close = (signal: NodeJS.Signals): void => {
      if (closing) return;
      closing = true;
      house.log.info({ signal }, "closing");
      setTimeout(() => process.exit(1), mostSecondsToClose * 1000).unref();
      endWatching();
      void app
        .close()
        .then(() => Promise.all([stopSealing(), stopPacking(), stopForgetting(), stopTime(), witnessing?.stop()]))
        .then(() => people.close())
        .then(() => db.close())
        .then(() => process.exit(0));
    };
    process.once("SIGTERM", close);
    process.once("SIGINT", close);
    if (config.environment !== "production") await sayWhoIsThere(house);
    say(`\nFerrule is at ${address} - its calls are described at ${address}/docs`);
  } catch (error) {
    await db.close().catch(() => undefined);
    throw error;
  }
}

async function sayWhoIsThere(house: House): Promise<void> {
  const firm = await findFirm(house.db);
  if (!firm?.demo) return;
  const { describeDemoPeople } = await import("../seeds/index.ts");
  say(describeDemoPeople());
}

main().catch((error: unknown) => {
  // One sentence for the one who started it; the stack is in the log of a failing call, not here.
  console.error(`\nFerrule could not start. ${error instanceof Error ? error.message : String(error)}`);
  process.exit(1);
});
