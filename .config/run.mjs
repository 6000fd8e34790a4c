// Runs one TypeScript file of the project with the words after it, in a clone that is made ready first.
import { setUp } from "./set-up.mjs";

const [file, ...words] = process.argv.slice(2);
if (file === undefined) throw new Error("Name the file to run.");
setUp({ withTools: false });
process.argv = [process.argv[0], file, ...words];
const { register } = await import("tsx/esm/api");
register();
await import(new URL(`../${file}`, import.meta.url).href);
