// `npm run keys:rotate [-- HOURS]`: puts a new key beside those of this installation. It is published from the next start on and signs HOURS
// (24) later: restart every process before that, one after the other.
import { rotateKeys } from "./keys/index.ts";
import { readConfig, runCommand, systemClock } from "./platform/index.ts";

await runCommand(async ([said = "24", ...more]) => {
  const hours = Number(said);
  if (more.length > 0 || !(hours >= 1 && hours <= 720))
    throw new Error("Say in how many hours the new key signs, 1 to 720: npm run keys:rotate -- 24");
  const done = await rotateKeys(readConfig(process.env), systemClock.now(), hours);
  if (!done.written) console.log(`Put this into FERRULE_KEYS of every process:\n${done.json}\n`);
  console.log(
    `The key ${done.kid} signs from ${done.signsFrom.toISOString()}. Restart every process before then, one after the other: nobody is refused. The key before is taken until ${done.believedUntil.toISOString()}, and published for good.`,
  );
});
