// What SQL by hand the service makes, and what of it no test ever runs. `npm test` asks it last, after a whole run on the embedded database:
// each worker has left there which statements it saw answered (rows-as-declared.ts).
import { execFile } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import type { DeclaredPart, DeclaredStatement } from "./print-statements.ts";
import { top } from "./sources.ts";

/** Every statement, and every way of writing rows, that the service makes when it is loaded. */
export async function readMade(): Promise<(DeclaredStatement | DeclaredPart)[]> {
  const script = ["--import", "./.config/as-typescript.mjs", "tests/support/print-statements.ts"];
  const { stdout } = await promisify(execFile)(process.execPath, script, { cwd: top, maxBuffer: 2 ** 24 });
  return stdout
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line));
}

/** What no test can run on the embedded database, or not where it would be seen: the beginning of its text, and why. */
const beneath =
  "asked beneath the seam that the tests listen at, whenever a database is migrated or asked for its schema; tests/faults/database.test.ts";
const byServer = "only a server takes it";
const excepted: Readonly<Record<string, string>> = {
  "SELECT to_regclass('_prisma_migrations')": beneath,
  "SELECT migration_name AS name": beneath,
  "SELECT current_setting('transaction_read_only')": beneath,
  'SELECT m.record_count = a.expected AS "gateOpen"': `${byServer}: no answer is lost on the way to a database in the same process; tests/faults/lost-answers.test.ts`,
  "SELECT id FROM ledger WHERE id = $1::text::uuid AND sha256": `${byServer}, for the same reason; tests/faults/lost-answers.test.ts`,
  "SELECT pg_notify($1, $2)": `${byServer}, and beneath the seam; tests/http/people-sign-in.test.ts`,
};

/** What the list of exceptions and the run say otherwise of each other, as lines: the file and line of what was never run, and why an exception is none. */
export function neverRun(
  made: readonly (DeclaredStatement | DeclaredPart)[],
  answered: ReadonlySet<string>,
  exceptions: Readonly<Record<string, string>> = excepted,
): string[] {
  const acts = [...answered].filter((sql) => sql.startsWith("WITH asked AS ("));
  const beginning = (one: DeclaredStatement | DeclaredPart): string => ("sql" in one ? one.sql : one.part).trim().replace(/\s+/g, " ");
  const isRun = (one: DeclaredStatement | DeclaredPart): boolean =>
    "sql" in one ? answered.has(one.sql) : acts.some((sql) => sql.includes(`\n${one.part} AS (`));
  const starts = Object.keys(exceptions);
  const isExcepted = (one: DeclaredStatement | DeclaredPart): boolean => starts.some((start) => beginning(one).startsWith(start));
  return [
    ...made.filter((one) => !isRun(one) && !isExcepted(one)).map((one) => `${one.at}: no test runs ${beginning(one).slice(0, 120)}`),
    ...made
      .filter((one) => isRun(one) && isExcepted(one))
      .map((one) => `${one.at}: an exception, and a test runs it: strike it from the list`),
    ...starts
      .filter((start) => !made.some((one) => beginning(one).startsWith(start)))
      .map((start) => `an exception that nothing is: ${start}`),
  ];
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const folder = process.argv[2] ?? "";
  const answered = readdirSync(folder).flatMap((name): string[] => JSON.parse(readFileSync(join(folder, name), "utf8")));
  const lines = neverRun(await readMade(), new Set(answered));
  for (const line of lines) console.log(line);
  process.exitCode = lines.length > 0 ? 1 : 0;
}
