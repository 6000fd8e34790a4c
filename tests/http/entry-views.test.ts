// The views by which SQL reads what entries say (prisma/migrations, `entry_*`): each column is held against the schemas in shared/records, and
// against what `read` makes of the golden entries of each kind, version and shape. So a path that leads nowhere, or a type that is another, fails.
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { z } from "zod";
import { type KeptRecord, type RecordKind, read, recordSchema } from "../../shared/records/index.ts";
import type { TestDatabase } from "../support/checked-rows.ts";
import { openTestDatabase } from "../support/database.ts";
import { filesOf } from "../support/sources.ts";

/** Columns by path from what an entry says, or from each of a list's members where the view has a row for each; `*` is each member of a list. */
interface View {
  readonly kinds: readonly RecordKind[];
  readonly each?: string;
  readonly columns: Readonly<Record<string, string>>;
}
const checks = ["daily-check", "weekly-inspection"] as const;
const comings = ["machine-withdrawn", "machine-returned", "machine-disposed", "machine-reinstated"] as const;
const findings = ["defect-raised", "defect-sighted"] as const;
const views: Readonly<Record<string, View>> = {
  entry_origin: {
    kinds: [...checks, ...findings],
    columns: {
      ...{ odometer_km: "submitted/odometerKm", sheet_version: "submitted/sheetVersion", flags: "outcome/flags" },
      observation_ids: "submitted/observationIds/* submitted/answers/*/observationIds/*",
    },
  },
  entry_finding: { kinds: findings, columns: { origin_id: "originId", observation_ids: "defect/observationIds" } },
  entry_answer: {
    kinds: checks,
    each: "submitted/answers",
    columns: {
      ...{ item_id: "itemId", result: "result", as_found: "asFound", as_left: "asLeft", celsius: "celsius", actions: "actions" },
    },
  },
  entry_verdict: {
    kinds: ["weekly-inspection"],
    each: "outcome/verdicts",
    columns: {
      ...{ item_id: "itemId", quantity: "quantity", result: "result", as_found: "reading/asFound", as_left: "reading/asLeft" },
      ...{ unit: "reading/unit", verdict: "" },
    },
  },
  entry_proof: {
    kinds: ["daily-check"],
    columns: {
      ...{ item_id: "outcome/proof/itemId", quantity: "outcome/proof/quantity", as_found: "outcome/proof/reading/asFound" },
      ...{ unit: "outcome/proof/reading/unit", load: "submitted/proof/load", verdict: "outcome/proof" },
    },
  },
  entry_put_right: {
    kinds: ["daily-check"],
    each: "outcome/putRight",
    columns: {
      ...{ item_id: "itemId", observation_ids: "observationIds", note: "note", is_right: "isRight", load: "load" },
      ...{ quantity: "verdict/quantity", as_left: "verdict/reading/asFound", unit: "verdict/reading/unit", verdict: "verdict" },
    },
  },
  entry_inspection: { kinds: ["weekly-inspection"], columns: { verdicts: "outcome/verdicts", measured_by: "measuredBy/*/staffId" } },
  entry_repair: {
    kinds: ["defect-repaired"],
    columns: {
      ...{ parts: "submitted/parts", reading: "submitted/reading/value", unit: "submitted/reading/unit" },
      ...{ outside_id: "outside/id", workshop: "outside/workshop" },
    },
  },
  entry_closing: {
    kinds: ["defect-signed-off", "defect-not-found"],
    columns: { statement: "submitted/statement", reason: "submitted/reason", first_look: "outcome/defect/firstLook" },
  },
  entry_wait: { kinds: ["defect-waiting"], columns: { part: "submitted/part" } },
  entry_weight: {
    kinds: [...findings, "defect-regraded", "defect-deferred", "defect-repaired", "defect-signed-off", "defect-not-found"],
    columns: { category_found: "defect/category", category_left: "outcome/defect/category" },
  },
  entry_machine: {
    kinds: ["machine-added", "machine-amended", ...comings],
    columns: {
      ...{ odometer_km: "odometerKm", from_km: "before/odometerKm", to_km: "after/odometerKm" },
      ...{ from_depot_id: "before/depotId", to_depot_id: "after/depotId", before: "before" },
    },
  },
  entry_paper_ended: { kinds: ["paper-ended"], columns: { note: "submitted/note" } },
  entry_policy: { kinds: ["policy-changed"], columns: { before: "before" } },
  entry_depot: { kinds: ["depot-amended"], columns: { about_depot_id: "depotId", name_before: "before/name" } },
  entry_model: { kinds: ["model-revised"], columns: { model_id: "modelId", name_before: "before/name", before: "before" } },
  entry_person: {
    kinds: ["person-added", "person-amended", "person-left", "person-forgotten"],
    columns: { person_id: "personId", all_depots: "allDepots", depot_ids: "depotIds" },
  },
  entry_correction: { kinds: ["record-corrected"], columns: { corrects: "corrects", submitted: "submitted", was: "was" } },
  entry_photo_added: { kinds: ["photo-added"], columns: { photo_id: "submitted/photoId" } },
  entry_photos: {
    kinds: [...checks, ...findings, "photo-added", "machine-fell", "machine-taken-back", "paper-added"],
    columns: { photos: "photos" },
  },
  entry_report: { kinds: ["report-taken"], columns: { about_machine_id: "machineId" } },
  entry_hold_placed: { kinds: ["hold-placed"], columns: { reason: "submitted/reason" } },
  entry_hold_lifted: { kinds: ["hold-lifted"], columns: { reason: "reason" } },
};
/** Of the entry's row and not of what it says; where a row's member stands in its list; whether anything is left of what it said. */
const beside = new Set(["id", "kind", "chain_id", "machine_id", "depot_id", "staff_id", "position", "performed_at", "recorded_at"]);
const isBeside = (name: string): boolean => beside.has(name) || name === "place" || name === "forgotten";

const golden = readFileSync(new URL("../rules/golden-records.ndjson", import.meta.url), "utf8")
  .trim()
  .split("\n")
  .map((line): KeptRecord => ({ ...JSON.parse(line), id: randomUUID() }));

/** The schemas at the end of a path, without what says that they may be absent. */
function schemasAt(schema: unknown, steps: readonly string[]): unknown[] {
  if (schema instanceof z.ZodOptional || schema instanceof z.ZodExactOptional || schema instanceof z.ZodNullable)
    return schemasAt(schema.unwrap(), steps);
  const [step, ...others] = steps;
  if (schema instanceof z.ZodUnion && step !== undefined) return schema.options.flatMap((one) => schemasAt(one, steps));
  if (step === undefined) return [schema];
  if (step === "*") return schema instanceof z.ZodArray ? schemasAt(schema.element, others) : [];
  return schema instanceof z.ZodObject && step in schema.shape ? schemasAt(schema.shape[step], others) : [];
}
/** The types of columns that hold what a schema lets through. */
function typesOf(schema: unknown): string[] {
  if (schema instanceof z.ZodGUID) return ["uuid", "text"];
  if (schema instanceof z.ZodString || schema instanceof z.ZodEnum || schema instanceof z.ZodLiteral) return ["text"];
  if (schema instanceof z.ZodNumber) return ["double precision", "integer"];
  if (schema instanceof z.ZodBoolean) return ["boolean"];
  return ["jsonb"];
}
/** The values at the end of a path; of a list all members. */
function valuesAt(value: unknown, steps: readonly string[]): unknown[] {
  const [step, ...others] = steps;
  if (step === undefined) return value === undefined ? [] : [value];
  if (step === "*") return Array.isArray(value) ? value.flatMap((one) => valuesAt(one, others)) : [];
  return typeof value === "object" && value !== null && step in value ? valuesAt(Reflect.get(value, step), others) : [];
}
const stepsOf = (path: string): string[] => path.split("/").filter((step) => step !== "");
const dataOf = (kind: RecordKind): unknown => recordSchema.options.find(({ shape }) => shape.kind.value === kind)?.shape.data;

let db: TestDatabase;
let columns: readonly { view: string; name: string; type: string }[];
beforeAll(async () => {
  db = await openTestDatabase();
  columns = await db.rows(
    `SELECT c.relname AS view, a.attname AS name, format_type(a.atttypid, a.atttypmod) AS type FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
     WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'v' AND a.attnum > 0 ORDER BY 1, a.attnum`,
  );
  // Chains of one entry each: the views look at entries one by one.
  await db.rows(
    `INSERT INTO ledger (id, chain_id, position, kind, version, performed_at, recorded_at, data, salt, data_sha256, sha256)
     SELECT id, id, 1, kind, version, now(), now(), data, decode(repeat('00', 16), 'hex'), sha256('a'), sha256(id::text::bytea)
     FROM jsonb_to_recordset($1::text::jsonb) AS r (id uuid, kind text, version int, data jsonb)`,
    [JSON.stringify(golden)],
  );
});
afterAll(() => db.close());

test("every view of the database stands in the list above with all of its columns", () => {
  const listed = Object.entries(views).flatMap(([view, of]) => Object.keys(of.columns).map((name) => `${view}.${name}`));
  expect(
    columns
      .filter(({ name }) => !isBeside(name))
      .map(({ view, name }) => `${view}.${name}`)
      .sort(),
  ).toEqual(listed.sort());
});

describe.each(Object.entries(views))("%s", (view, { kinds, each = "", columns: paths }) => {
  test("its paths lead to a member of one of its kinds, and of each kind by one of them, and have its type", () => {
    for (const [name, path] of Object.entries(paths)) {
      const type = columns.find((column) => column.view === view && column.name === name)?.type;
      for (const one of path === "" ? [""] : path.split(" ")) {
        const found = kinds.flatMap((kind) => schemasAt(dataOf(kind), [...stepsOf(each), ...(each === "" ? [] : ["*"]), ...stepsOf(one)]));
        expect(found.length, `${name}: ${one}`).toBeGreaterThan(0);
        for (const schema of found) expect(one.includes("*") ? ["jsonb"] : typesOf(schema), `${name}: ${one}`).toContain(type);
      }
    }
    const said = (kind: RecordKind) =>
      Object.values(paths).some((path) =>
        path
          .split(" ")
          .some((one) => schemasAt(dataOf(kind), [...stepsOf(each), ...(each === "" ? [] : ["*"]), ...stepsOf(one)]).length > 0),
      );
    // Leaving and coming back say nothing here: that they happened is what is asked.
    expect(kinds.filter((kind) => !said(kind) && !comings.some((one) => one === kind))).toEqual([]);
  });

  test("it reads from every golden entry what `read` does, in every column something from one of them", async () => {
    const order = columns.some((column) => column.view === view && column.name === "place") ? "id, place" : "id";
    const rows = await db.rows<Record<string, unknown>>(`SELECT * FROM ${view} ORDER BY ${order}`);
    const something = new Set<string>();
    const expected = golden
      .filter(({ kind }) => kinds.some((one) => one === kind))
      .sort((a, b) => (a.id < b.id ? -1 : 1))
      .flatMap((entry) => {
        const { data } = read(entry);
        const members = each === "" ? [data] : valuesAt(data, [...stepsOf(each), "*"]);
        return members.map((member) => ({
          id: entry.id,
          ...Object.fromEntries(
            Object.entries(paths).map(([name, path]) => {
              const found = (path === "" ? [""] : path.split(" ")).flatMap((one) => valuesAt(member, stepsOf(one)));
              if (found.some((value) => value !== null)) something.add(name);
              return [name, path.includes("*") ? found : (found[0] ?? null)];
            }),
          ),
        }));
      });
    expect(expected.length).toBeGreaterThan(0);
    expect(rows.map((row) => Object.fromEntries(["id", ...Object.keys(paths)].map((name) => [name, row[name]])))).toEqual(expected);
    expect(Object.keys(paths).filter((name) => !something.has(name))).toEqual([]);
  });

  test("it shows an entry of no other kind", async () => {
    const other = await db.rows<{ kind: string }>(`SELECT DISTINCT kind FROM ${view}`);
    expect(other.map(({ kind }) => kind).filter((kind) => !kinds.some((one) => one === kind))).toEqual([]);
  });
});

/** What statements reach into with a path of their own: states, policies and what is no entry's words. A view's column is whole. */
const notAnEntry = new Set([
  "state",
  "policy",
  "closing_reading",
  "particulars",
  "body",
  "defect",
  "then",
  "e",
  "f",
  "firstLook",
  "was",
  "secondPerson",
]);

test("no statement has a path into an entry of its own", () => {
  const found = filesOf(["src"]).flatMap(({ path, text }) => {
    const sql = text.replace(/^\s*(\/\/|\/?\*).*$/gm, "");
    const roots = [...sql.matchAll(/(\w+)\)?(?: ?->>? ?'| ?#>>? ?'\{\w| \? ')/g)].map((match) => match[1] ?? "");
    const into = roots.filter((root) => !notAnEntry.has(root));
    return [...into, ...(sql.match(/jsonb_path_\w+|\bdata\s*(?:->|#>|\?\s*'|@>)/g) ?? [])].map((one) => `${path}: ${one}`);
  });
  expect(found).toEqual([]);
});

test("what was amended of a machine is asked by the names that its record has", () => {
  const names = filesOf(["src"]).flatMap(({ text }) =>
    [...text.matchAll(/\ba\.was\s*(?:->>|\?)\s*'(\w+)'/g)].map((match) => match[1] ?? ""),
  );
  expect(names.length).toBeGreaterThan(3);
  for (const name of names) expect(schemasAt(dataOf("machine-amended"), ["before", name]), name).toHaveLength(1);
});
