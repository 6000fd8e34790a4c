// `npm test`: gets the clone ready, then types, lint and all tests; `--only-tests` leaves out types and lint, extra words go to vitest (a path, say).
// On the embedded database, or on the server that TEST_DATABASE_URL names.
import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { setUp, top } from "./set-up.mjs";
import { code, formatAndLint, inLanes, promises, typesOfPages, typesOfPageTests, typesOfService, typesOfWorker } from "./steps.mjs";

setUp({ withTools: true });
// Tests set the environment of a service themselves.
delete process.env.NODE_ENV;

const bin = (name) => join(top, "node_modules", ".bin", name);
function step(title, command, options) {
  console.log(`\n== ${title}`);
  const { status } = spawnSync(command, options, { cwd: top, stdio: "inherit", shell: process.platform === "win32" });
  if (status !== 0) failed.push(title);
}

const failed = [];
const folder = mkdtempSync(join(tmpdir(), "ferrule-test-"));
const report = join(folder, "report.json");
const words = process.argv.slice(2).filter((word) => word !== "--only-tests");
if (!process.argv.includes("--only-tests")) {
  console.log("\n== Types, format and lint");
  failed.push(...(await inLanes([promises(code), typesOfService, typesOfPageTests, typesOfPages, formatAndLint, typesOfWorker])));
}
// Whether every statement is run by some test is asked where all of them were taken: a run of some, or without what the server has again, cannot say.
const isWhole = words.length === 0 && !process.env.TEST_DATABASE_URL;
const answered = join(folder, "answered");
if (isWhole) {
  mkdirSync(answered);
  process.env.STATEMENTS_ANSWERED = answered;
}
step(`Tests on ${process.env.TEST_DATABASE_URL ? "the server that TEST_DATABASE_URL names" : "the embedded database"}`, bin("vitest"), [
  "run",
  "--config",
  ".config/vitest.ts",
  "--reporter=default",
  "--reporter=json",
  `--outputFile.json=${report}`,
  ...words,
]);
let counts = "No test was run.";
try {
  const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(report, "utf8"));
  const failedFiles = testResults.filter(({ status }) => status === "failed").length;
  const notRun = testResults.flatMap(({ name, assertionResults }) => {
    const count = assertionResults.filter(({ status }) => status !== "passed" && status !== "failed").length;
    return count > 0 ? [{ file: relative(top, name), count }] : [];
  });
  const sum = notRun.reduce((all, { count }) => all + count, 0);
  counts = `${numPassedTests} passed, ${numFailedTests} failed in ${failedFiles} files, ${sum} not run.`;
  const ofPages = notRun.filter(({ file }) => file.startsWith("tests/web/"));
  if (ofPages.length > 0) console.log("\nThe tests of the pages take a Chromium. Install one (Debian: chromium), or name it in CHROMIUM.");
  if (sum > 0) {
    console.log(`\nNot run, for want of a server (TEST_DATABASE_URL), Chromium, openssl, python3, unzip or poppler-utils, as each file says:`);
    for (const { file, count } of notRun) console.log(`  ${count} in ${file}`);
  }
} catch {
  // Whatever kept them from running was printed.
}
if (isWhole) step("Statements that no test runs", process.execPath, ["--import", "./.config/as-typescript.mjs", "tests/support/made-statements.ts", answered]);
rmSync(folder, { recursive: true, force: true });
// Printed last, where a log is looked at first.
console.log(`\n${counts}${failed.length > 0 ? ` Not in order: ${failed.join("; ")}.` : ""}`);
process.exit(failed.length > 0 ? 1 : 0);
