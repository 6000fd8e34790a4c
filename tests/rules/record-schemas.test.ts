// What records say, as JSON Schema: another validator reads the golden entries by it as ours reads them by the schemas that it is made from.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { reportTaken } from "../../shared/records/audit.ts";
import { jsonSchemasOf, type KeptRecord, newestVersion } from "../../shared/records/index.ts";
import { isWordKey } from "../../shared/words/index.ts";
import { kinds } from "../../src/ledger/index.ts";
import { validatorOf } from "../support/json-schema.ts";

const golden = readFileSync(new URL("golden-records.ndjson", import.meta.url), "utf8")
  .trim()
  .split("\n")
  .map((line): KeptRecord & { readonly shape: string } => JSON.parse(line));
const schemas = jsonSchemasOf();

test("there is a schema of every kind in every version, in their order", () => {
  const wanted = Object.entries(kinds)
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .flatMap(([kind, { version }]) => Array.from({ length: version }, (_, at) => `${kind} ${at + 1}`));
  expect(schemas.map(({ kind, version }) => `${kind} ${version}`)).toEqual(wanted);
  for (const { kind, version } of schemas) expect(version).toBeLessThanOrEqual(newestVersion(kind));
});

test("every report that can be taken has a name in words", () => {
  expect(reportTaken.shape.paper.options.filter((one) => !isWordKey(`record.paper-name.${one}`))).toEqual([]);
});

describe.each(schemas)("$kind, version $version", ({ kind, version, schema }) => {
  const told = golden.filter((entry) => entry.kind === kind && entry.version === version);
  const faults = validatorOf(schema);

  test("holds for every golden entry of it", () => {
    expect(told.length).toBeGreaterThan(0);
    for (const entry of told) expect(faults(entry.data), entry.shape).toEqual([]);
  });

  test("does not hold where a member is missing or one is there that is not known", () => {
    for (const { data } of told) {
      expect(faults({ ...(data as object), unheardOf: 1 })).not.toEqual([]);
      const [first] = (schema.required ?? []).filter((name) => name !== "was");
      if (first === undefined) continue;
      const { [first]: _, ...without } = data as Readonly<Record<string, unknown>>;
      expect(faults(without)).not.toEqual([]);
    }
  });
});
