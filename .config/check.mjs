// `npm run check`: what can be said of a change without a database and a browser, in the time one waits for it: types, format, lint, promises,
// the rules of the house and the pure rules. Only a step that fails says more than its name. What it leaves to `npm test`: every test of the
// service, its pages and papers, and of the pure rules the few files that take seconds (`.config/vitest-check.ts` names them).
import { spawn } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { setUp, top } from "./set-up.mjs";
import { sinceLast } from "./since-last.mjs";

setUp({ withTools: true, withPages: false });
delete process.env.NODE_ENV;

// What a type check learnt is kept, so that the next one looks only at what changed.
const cache = join(top, "node_modules", ".cache", "ferrule");
mkdirSync(cache, { recursive: true });
const types = (about, project) => ({
  title: `types of ${about}`,
  command: "tsc",
  options: ["--noEmit", "-p", project, "--incremental", "--tsBuildInfoFile", join(cache, `${about.replaceAll(" ", "-")}.tsbuildinfo`)],
});
const code = ["src", "shared", "seeds", "tests"];
// With types, the linter takes longer than all else together: it looks at what changed since it last found nothing, and at what imports that.
const toLint = sinceLast(code, join(cache, "promises.json"), [".config/oxlint.json", "tsconfig.json", "package-lock.json"]);

// The longest first: there are two lanes.
const steps = [
  { title: "rules of the house, pure rules", command: "vitest", options: ["run", "--config", ".config/vitest-check.ts", "--reporter=dot"] },
  types("the service", "tsconfig.json"),
  { title: "promises", command: "oxlint", options: ["-c", ".config/oxlint.json", "--type-aware", ...toLint.files], after: toLint.keep },
  types("the tests of the pages", "tests/web/tsconfig.json"),
  types("the pages", "src/web/tsconfig.json"),
  { title: "format and lint", command: "biome", options: ["check", "--config-path=.config", ...code] },
  types("the service worker", "src/web/worker.tsconfig.json"),
].filter(({ after }) => after === undefined || toLint.files.length > 0);

/** Runs one step; resolves to whether it was in order. */
function take({ title, command, options, after }) {
  const began = performance.now();
  return new Promise((done) => {
    let said = "";
    const child = spawn(join(top, "node_modules", ".bin", command), options, {
      cwd: top,
      env: { ...process.env, NO_COLOR: "1" },
      shell: process.platform === "win32",
    });
    for (const stream of [child.stdout, child.stderr]) stream.on("data", (part) => (said += part));
    child.on("error", (error) => (said += error.message));
    child.on("close", (code) => {
      console.log(`${code === 0 ? "in order" : "NOT IN ORDER"}: ${title} (${((performance.now() - began) / 1000).toFixed(1)} s)`);
      // A property that fails tells its way in thousands of numbers.
      if (code !== 0) console.log(said.replace(/^(.{400}).*$/gm, "$1 ..."));
      else after?.();
      done(code === 0);
    });
  });
}

const began = performance.now();
const failed = [];
async function lane() {
  for (let step = steps.shift(); step !== undefined; step = steps.shift()) if (!(await take(step))) failed.push(step.title);
}
await Promise.all([lane(), lane()]);
const seconds = ((performance.now() - began) / 1000).toFixed(1);
console.log(`\n${failed.length > 0 ? `Not in order: ${failed.join("; ")}` : "All in order"}, in ${seconds} s. The rest is asked by npm test.`);
process.exit(failed.length > 0 ? 1 : 0);
