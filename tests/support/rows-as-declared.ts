// After each test: whether all rows that a database answered were what their statements declare. After each file, where `npm test` asks for
// it: which statements were answered, for the list of those that no test runs.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, afterEach, expect } from "vitest";
import { answeredStatements, takeMismatches } from "./checked-rows.ts";

const look = (): void => expect(takeMismatches(), "rows otherwise than declared").toEqual([]);
afterEach(look);
afterAll(look);

const folder = process.env["STATEMENTS_ANSWERED"];
// A file of each worker, with all that it knows.
if (folder !== undefined) {
  afterAll(() => {
    writeFileSync(join(folder, `${process.pid}.json`), JSON.stringify([...answeredStatements]));
  });
}
