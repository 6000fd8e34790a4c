// `npm run let-in -- NUMBER [code]`: for whoever runs the service, when somebody cannot sign in and no manager can help. Lifts what wrong
// secrets have closed; with the word `code` also makes a one-time code. On the store that the environment names, beside the running service
// where it is a server; the embedded one has to be stopped for it.
import { staffNumberSchema } from "../shared/contracts/people.ts";
import { letIn } from "./people/index.ts";
import {
  EventStreams,
  idsFrom,
  openLog,
  openStore,
  openThreads,
  readConfig,
  runCommand,
  saltsFromSystem,
  systemClock,
} from "./platform/index.ts";

await runCommand(async ([number, word, ...more]) => {
  const staffNumber = staffNumberSchema.safeParse(number);
  if (!staffNumber.success || more.length > 0 || (word !== undefined && word !== "code")) {
    throw new Error("Name one staff number, and after it the word code where a one-time code is wanted: npm run let-in -- F001 code");
  }
  const config = readConfig(process.env);
  const db = await openStore(config);
  try {
    const log = openLog(config.logLevel);
    const context = {
      ...{ db, clock: systemClock, config, log, threads: openThreads(log), streams: new EventStreams(log) },
      ...{ newId: idsFrom(systemClock), newSalt: saltsFromSystem },
    };
    const done = await letIn(context, staffNumber.data, word === "code");
    if (done === null) throw new Error(`Nobody works here under the number ${staffNumber.data}.`);
    const lifted = done.sources === 0 ? "Nothing was closed" : "What wrong secrets had closed is open again";
    console.log(`${staffNumber.data}, ${done.name}: ${lifted}.`);
    if (done.oneTimeCode !== null) {
      console.log(
        `One-time code, told this once: ${done.oneTimeCode}\nAll sessions are over, and a record says that the service's operator made it.`,
      );
    }
  } finally {
    await db.close();
  }
});
