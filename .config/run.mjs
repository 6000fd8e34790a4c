// Runs one TypeScript file of the project with the arguments after it, in a clone that is set up first. With `--as-it-is` before the file nothing
// is set up, and an error says so if that is needed: a command that prints a table may be used in a pipe, and must change nothing.
import { existsSync } from "node:fs";
import { setUp, top } from "./set-up.mjs";

const asItIs = process.argv[2] === "--as-it-is";
const [file, ...words] = process.argv.slice(asItIs ? 3 : 2);
if (file === undefined) throw new Error("Name the file to run.");
if (!asItIs) setUp({ withTools: false });
else if (!existsSync(`${top}node_modules/tsx`) || !existsSync(`${top}prisma/client`)) {
  console.error("This clone is not ready yet. Run 'npm run set-up' first.");
  process.exit(1);
}
// The reader may close the pipe early, as `head` does: the work still goes on to its end and its exit code, and the rest of the output is dropped.
for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", (error) => {
    if (error.code !== "EPIPE") throw error;
  });
}
process.argv = [process.argv[0], file, ...words];
const { register } = await import("tsx/esm/api");
register();
await import(new URL(`../${file}`, import.meta.url).href);
