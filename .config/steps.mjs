// The steps that check the code without running it, and how several run at once.
import { spawn } from "node:child_process";
import { join } from "node:path";
import { top } from "./set-up.mjs";

export const code = ["src", "shared", "seeds", "tests"];

// One checker for each: several would each work out the types that all files share, and steps run side by side already.
const types = (about, project) => ({ title: `types of ${about}`, command: "tsc", options: ["--noEmit", "--checkers", "1", "-p", project] });
export const typesOfService = types("the service", "tsconfig.json");
export const typesOfPageTests = types("the tests of the pages", "tests/web/tsconfig.json");
export const typesOfPages = types("the pages", "src/web/tsconfig.json");
export const typesOfWorker = types("the service worker", "src/web/worker.tsconfig.json");
export const formatAndLint = { title: "format and lint", command: "biome", options: ["check", "--config-path=.config", ...code] };
/** The linter that knows types, on these files. */
export const promises = (files) => ({ title: "promises", command: "oxlint", options: ["-c", ".config/oxlint.json", "--type-aware", ...files] });

/** Runs one step; resolves to whether it passed. */
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
      // A property that fails prints its path, which may be thousands of numbers, so long lines are cut.
      if (code !== 0) console.log(said.replace(/^(.{400}).*$/gm, "$1 ..."));
      else after?.();
      done(code === 0);
    });
  });
}

/** Runs these steps in order, `lanes` at a time; returns the titles of those that failed. */
export async function inLanes(steps, lanes = 2) {
  const waiting = [...steps];
  const failed = [];
  const lane = async () => {
    for (let step = waiting.shift(); step !== undefined; step = waiting.shift()) if (!(await take(step))) failed.push(step.title);
  };
  await Promise.all(Array.from({ length: lanes }, lane));
  return failed;
}
