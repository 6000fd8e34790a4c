// What was ever written stays readable: golden entries of each kind, in each version and each shape that it was written in, as they are stored.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import {
  isRecordKind,
  type KeptRecord,
  lifted,
  newestVersion,
  RecordUnreadable,
  read,
  readAs,
  recordSchema,
} from "../../shared/records/index.ts";
import { type Kind, kinds } from "../../src/ledger/index.ts";

interface Golden extends KeptRecord {
  readonly kind: Kind;
  /** which shape it stands for, where its kind was written in several */
  readonly shape: string;
}
// A line an entry, invented; long lists are cut short. A line is never changed and never taken out: stores hold entries like it.
const golden = readFileSync(new URL("golden-records.ndjson", import.meta.url), "utf8")
  .trim()
  .split("\n")
  .map((line): Golden => JSON.parse(line));
const oneOf = (kind: Kind): Golden => {
  const found = golden.find((entry) => entry.kind === kind);
  if (!found) throw new Error(`no golden entry is a ${kind}`);
  return found;
};
const why = (entry: KeptRecord): string => {
  try {
    read(entry);
  } catch (error) {
    if (error instanceof RecordUnreadable) return error.message;
    throw error;
  }
  return "";
};

/** What is read of an older version, by `its-kind 1`, told once more here and not by the code that lifts it. A kind without is at its first. */
const liftedTo: Readonly<Record<string, (data: unknown) => unknown>> = {};

describe("golden entries", () => {
  test.each(golden.map((entry) => [`${entry.kind}, version ${entry.version}: ${entry.shape}`, entry] as const))("%s", (_, entry) => {
    const { kind, data } = read(entry);
    expect(kind).toBe(entry.kind);
    expect(data).toEqual(liftedTo[`${kind} ${entry.version}`]?.(entry.data) ?? entry.data);
  });

  test("there is one of every kind in every version", () => {
    const has = new Set(golden.map(({ kind, version }) => `${kind} ${version}`));
    const wanted = Object.entries(kinds).flatMap(([kind, { version }]) => Array.from({ length: version }, (_, at) => `${kind} ${at + 1}`));
    expect(wanted.filter((one) => !has.has(one))).toEqual([]);
  });

  test("every member that may be absent is there in one of them, and one that came later is absent from another", () => {
    const all = recordSchema.options.flatMap(({ shape }) => [...maybes(shape.data, shape.kind.value)]);
    const members = (isMeant: (one: Maybe) => boolean) => new Map(all.filter(([one]) => isMeant(one)));
    const [there, absent] = [new Set<unknown>(), new Set<unknown>()];
    for (const { kind, data } of golden) {
      const schema = recordSchema.options.find(({ shape }) => shape.kind.value === kind)?.shape.data;
      for (const [one, isThere] of seen(schema, data)) (isThere ? there : absent).add(one);
    }
    const without = (of: ReadonlyMap<Maybe, string>, found: ReadonlySet<unknown>) =>
      [...of].filter(([one]) => !found.has(one)).map(([, path]) => path);
    const [any, later] = [members(() => true), members((one) => one instanceof z.ZodExactOptional)];
    // Every writer has said them so far; the rules' own types let them be absent.
    for (const [one, path] of later)
      if (["paper-ended/outcome/held/validFrom", "defect-sighted/outcome/flags"].includes(path)) absent.add(one);
    expect({ neverThere: without(any, there), neverAbsent: without(later, absent) }).toEqual({ neverThere: [], neverAbsent: [] });
  });
});

test("the kinds of the ledger are written in the newest version that is read", () => {
  expect(recordSchema.options.map((one) => one.shape.kind.value).sort()).toEqual(Object.keys(kinds).sort());
  for (const kind of Object.keys(kinds).filter(isRecordKind)) expect(newestVersion(kind), kind).toBe(kinds[kind].version);
});

test("an entry that no schema reads is told with what is wrong where, and never with what it says", () => {
  const check = oneOf("daily-check");
  const data = z.record(z.string(), z.unknown()).parse(check.data);
  const submitted = z.record(z.string(), z.unknown()).parse(data["submitted"]);
  const { odometerKm: _, ...without } = submitted;
  expect(why({ ...check, data: { ...data, submitted: { ...without, performedAt: "Odalys Fenwright-Quoy", more: 1 } } })).toBe(
    `Record ${check.id} (daily-check, version 1) cannot be read: submitted/performedAt must be a moment with its offset, such as 2026-07-14T04:31:00Z; submitted/odometerKm is missing; submitted holds fields that do not exist: more.`,
  );
  expect(why({ ...check, data: "words" })).toMatch(/cannot be read: all of it /);
  expect(why({ ...check, kind: "daily-cheque" })).toMatch(/there is no such kind\.$/);
  for (const version of [0, 1.5, kinds["daily-check"].version + 1])
    expect(why({ ...check, version })).toMatch(/its versions go from 1 to 1\.$/);
});

test("a forgotten entry is told apart from one that says something", () => {
  expect(read({ ...oneOf("defect-raised"), data: null })).toEqual({ kind: "defect-raised", data: null });
  expect(readAs(["defect-raised"], { ...oneOf("defect-raised"), data: null })).toBeNull();
});

test("what is read as one kind is refused where the entry is of another", () => {
  const { kind, data } = oneOf("machine-withdrawn");
  expect(readAs(["machine-returned", "machine-withdrawn"], oneOf("machine-withdrawn"))).toEqual({ kind, data });
  expect(() => readAs(["machine-returned", "machine-added"], oneOf("machine-withdrawn"))).toThrow(
    "it is no machine-returned and no machine-added",
  );
});

test("an older version is lifted step by step to the newest, and what is not of its version is refused", () => {
  const first = lifted(z.strictObject({ why: z.string() }), ({ why: because }) => ({ cause: because }));
  const second = lifted(z.strictObject({ cause: z.string() }), ({ cause }) => ({ reason: cause }));
  const older = { "machine-withdrawn": [first, second] };
  const entry = { id: oneOf("machine-withdrawn").id, kind: "machine-withdrawn" };
  expect(newestVersion("machine-withdrawn", older)).toBe(3);
  for (const [version, data] of [
    [1, { why: "sold" }],
    [2, { cause: "sold" }],
    [3, { reason: "sold" }],
  ] as const) {
    expect(read({ ...entry, version, data }, older)).toEqual({ kind: "machine-withdrawn", data: { reason: "sold" } });
  }
  expect(() => read({ ...entry, version: 1, data: { reason: "sold" } }, older)).toThrow(RecordUnreadable);
});

type Maybe = z.ZodOptional | z.ZodExactOptional;
const isMaybe = (schema: unknown): schema is Maybe => schema instanceof z.ZodOptional || schema instanceof z.ZodExactOptional;
const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> => typeof value === "object" && value !== null;

/** The members of a schema that may be absent, each with its path. */
function* maybes(schema: unknown, path: string): Generator<[Maybe, string]> {
  if (isMaybe(schema)) yield [schema, path];
  if (isMaybe(schema) || schema instanceof z.ZodNullable) yield* maybes(schema.unwrap(), path);
  else if (schema instanceof z.ZodArray) yield* maybes(schema.element, path);
  else if (schema instanceof z.ZodUnion) for (const one of schema.options) yield* maybes(one, path);
  else if (schema instanceof z.ZodObject) for (const [name, one] of Object.entries(schema.shape)) yield* maybes(one, `${path}/${name}`);
}

/** Which of them a value has, and which it lacks. */
function* seen(schema: unknown, value: unknown): Generator<[Maybe, boolean]> {
  if (isMaybe(schema)) yield [schema, value !== undefined];
  if (value === undefined || value === null) return;
  if (isMaybe(schema) || schema instanceof z.ZodNullable) yield* seen(schema.unwrap(), value);
  else if (schema instanceof z.ZodArray && Array.isArray(value)) for (const one of value) yield* seen(schema.element, one);
  else if (schema instanceof z.ZodUnion)
    yield* seen(
      schema.options.find((one) => z.safeParse(one, value).success),
      value,
    );
  else if (schema instanceof z.ZodObject && isRecord(value))
    for (const [name, one] of Object.entries(schema.shape)) yield* seen(one, value[name]);
}

test("what a newer service says besides is left out, at whatever depth, and the rest is read", () => {
  const { data, ...entry } = oneOf("defect-regraded");
  const newer = { ...(data as object), later: 1, submitted: { ...(data as { submitted: object }).submitted, later: { deep: true } } };
  expect(read({ ...entry, data: newer })).toEqual(read({ ...entry, data }));
  expect(newer).toHaveProperty("later", 1);
});
