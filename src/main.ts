// Reads the environment, opens the service, listens, and closes in order.
import { mkdirSync } from "node:fs";
import { type AppContext, appContext } from "./acts/index.ts";
import { buildApp } from "./app.ts";
import { keepPacking } from "./audit/index.ts";
import { keepCampaigns } from "./campaigns/index.ts";
import { openDefectsGoAlong } from "./defects/index.ts";
import { keepForgetting } from "./keeping/index.ts";
import { openOwnKeys } from "./keys/index.ts";
import { keepSealing } from "./ledger/index.ts";
import { carryOutChanges, findFirm, foundFirm, newSignInState, openPeople } from "./people/index.ts";
import { knowFolder } from "./photos/index.ts";
import {
  asFirstStart,
  BoundClock,
  Closing,
  type Config,
  closeOnSignal,
  type Database,
  EventStreams,
  idsFrom,
  isUnfinished,
  keepTime,
  openEmbedded,
  openLog,
  openServer,
  openThreads,
  patiently,
  readConfig,
  saltsFromSystem,
} from "./platform/index.ts";
import { keepWitnessing, openWitness } from "./witness/index.ts";

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
  if (unfinished) say("The first start was interrupted; what it left is removed, and it starts again.");
  say(`Opening the embedded database in ${config.dataFolder} ...`);
  return openEmbedded(config.dataFolder);
}

/** Production founds the firm that its environment names; anywhere else an empty store gets the demo firm, unless the configuration says no. */
async function foundWhereEmpty(context: AppContext): Promise<void> {
  const { config, db } = context;
  const firm = await findFirm(db);
  if (firm?.demo && config.environment === "production") {
    throw new Error("This store holds the demo firm, whose secrets are known to everybody. A service in production does not start on it.");
  }
  if (firm) return;
  if (config.firstStart !== null) {
    const { firmName, managerNumber, managerSecret } = config.firstStart;
    await foundFirm(context, {
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
    await foundDemoFirm(context, { say });
  });
}

/** Opens the service and listens. What is opened later may use what was opened before it, so it is closed first: the port before everything else. */
async function start(config: Config, log: AppContext["log"], closing: Closing): Promise<void> {
  const clock = new BoundClock();
  const db = await closing.open(
    "the database",
    () => openDatabase(config),
    (opened) => opened.close(),
  );
  const threads = await closing.open(
    "the threads",
    () => openThreads(log),
    (opened) => opened.close(),
  );
  const service = { db, clock, config, log, threads, streams: new EventStreams(log), newId: idsFrom(clock), newSalt: saltsFromSystem };
  const witness = await openWitness(service);
  const applied = await db.migrate();
  if (applied.length > 0) say(`Migrated the database: ${applied.join(", ")}.`);
  await closing.open("the comparing of clocks", () => keepTime({ db, clock, log }), run);
  const carriedOut = await patiently(() => carryOutChanges(service));
  if (carriedOut.length > 0) say(`Changed what is stored, with its records: ${carriedOut.join(", ")}.`);
  const ledger = { ...service, keys: await openOwnKeys(service) };
  const context = appContext({ ...ledger, signIn: await newSignInState(ledger) }, openDefectsGoAlong);
  const people = await closing.open(
    "the sessions",
    () => openPeople(context),
    (opened) => opened.close(),
  );
  await patiently(() => foundWhereEmpty(context));
  await knowFolder(context);
  const witnessing =
    witness &&
    (await closing.open(
      "the witnessing of checkpoints",
      () => keepWitnessing(context, witness),
      (opened) => opened.stop(),
    ));
  await closing.open("the taking of checkpoints", () => keepSealing(context), run);
  await closing.open("the opening of campaigns' jobs", () => keepCampaigns(context), run);
  await closing.open("the making of audit packs", () => keepPacking(context), run);
  await closing.open("the forgetting of old records", () => keepForgetting(context), run);
  const app = await closing.open(
    "the door to the outside",
    () => buildApp(context, people.authenticate, witnessing?.gauges),
    (opened) => {
      service.streams.endAll();
      return opened.close();
    },
  );
  const address = await app.listen({ port: config.port, host: config.host }).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== "EADDRINUSE") throw error;
    throw new Error(`Something else answers on port ${config.port} of ${config.host} already. Stop it, or name another port in PORT.`);
  });
  if (config.environment !== "production") await sayWhoIsThere(context);
  say(`\nFerrule is at ${address} - its calls are described at ${address}/docs`);
}

const run = (stop: () => Promise<void>): Promise<void> => stop();

async function sayWhoIsThere(context: AppContext): Promise<void> {
  const firm = await findFirm(context.db);
  if (!firm?.demo) return;
  const { describeDemoPeople } = await import("../seeds/index.ts");
  say(describeDemoPeople());
}

/** One sentence for the one who started it; the stack is in the log of a failing call, not here. */
const sayWhyNot = (error: unknown): void =>
  console.error(`\nFerrule could not start. ${error instanceof Error ? error.message : String(error)}`);

/** The code with which the process ends, where it ends by itself: null while it serves, or while a signal is closing it. */
async function main(): Promise<1 | null> {
  let closing: Closing | undefined;
  try {
    const config = readConfig(process.env);
    const log = openLog(config.logLevel);
    closing = new Closing(log, config.closingLimitMs);
    closeOnSignal(closing, log, (code) => process.exit(code));
    await start(config, log, closing);
    return null;
  } catch (error) {
    // A start that is told to stop fails at whatever it was doing, which need not be reported.
    if (closing?.hasBegun) return null;
    sayWhyNot(error);
    await closing?.end();
    return 1;
  }
}

const code = await main();
if (code !== null) process.exit(code);
