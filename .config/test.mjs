// `npm test`: gets the clone ready, then types, lint and all tests; extra words go to vitest (a path, say).
// On the embedded database, or on the server that TEST_DATABASE_URL names.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setUp, top } from "./set-up.mjs";

setUp({ withTools: true });
// Tests say themselves in which environment a service runs.
delete process.env.NODE_ENV;

const bin = (name) => join(top, "node_modules", ".bin", name);
function step(title, command, options) {
  console.log(`\n== ${title}`);
  const { status } = spawnSync(bin(command), options, { cwd: top, stdio: "inherit", shell: process.platform === "win32" });
  if (status !== 0) failed.push(title);
}

const failed = [];
const folder = mkdtempSync(join(tmpdir(), "ferrule-test-"));
const report = join(folder, "report.json");
step("Types", "tsc", ["--noEmit"]);
step("Types of the pages", "tsc", ["--noEmit", "-p", "src/web/tsconfig.json"]);
step("Types of the pages' service worker", "tsc", ["--noEmit", "-p", "src/web/worker.tsconfig.json"]);
step("Types of the pages' tests", "tsc", ["--noEmit", "-p", "tests/web/tsconfig.json"]);
step("Format and lint", "biome", ["check", "--config-path=.config", "src", "shared", "seeds", "tests"]);
step("Promises", "oxlint", ["-c", ".config/oxlint.json", "--type-aware", "src", "shared", "seeds", "tests"]);
step(`Tests on ${process.env.TEST_DATABASE_URL ? "the server that TEST_DATABASE_URL names" : "the embedded database"}`, "vitest", [
  "run",
  "--config",
  ".config/vitest.ts",
  "--reporter=default",
  "--reporter=json",
  `--outputFile.json=${report}`,
  ...process.argv.slice(2),
]);
try {
  const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(report, "utf8"));
  console.log(`\n${numPassedTests} passed, ${numFailedTests} failed`);
  const inBrowser = testResults.filter(({ name }) => name.includes("/tests/web/")).flatMap(({ assertionResults }) => assertionResults);
  const notRun = inBrowser.filter(({ status }) => status !== "passed" && status !== "failed").length;
  if (notRun > 0) {
    console.log(
      `Not run: ${notRun} tests of the pages, since no Chromium was found. Install one (Debian: chromium), or name it in CHROMIUM.`,
    );
  }
} catch {
  console.log("\nNo test was run.");
}
rmSync(folder, { recursive: true, force: true });
// Said last, as what a log keeps is its end.
if (failed.length > 0) console.log(`Not in order: ${failed.join("; ")}`);
process.exit(failed.length > 0 ? 1 : 0);
