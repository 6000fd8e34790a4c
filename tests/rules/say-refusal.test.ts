// What a refused field is told, whichever way it was wrong: a short sentence of our own, with the bound, the values or the form.
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { daySchema, idSchema, instantSchema, roleSchema, textSchema } from "../../shared/contracts/common.ts";
import { policySchema } from "../../shared/rules/policy.ts";
import { wordCounted } from "../../shared/words/index.ts";
import { notValid } from "../../src/platform/errors.ts";

/** The sentences about `value`, each with its place. */
const said = (schema: z.ZodType, value: unknown): string[] =>
  (schema.safeParse(value).error?.issues ?? []).map(({ path, message }) => [...path, message].join(" "));

describe("a field that is refused is told", () => {
  test.each<[string, z.ZodType, unknown, string]>([
    ["that it is missing", z.object({ a: z.number() }), {}, "a is missing"],
    ["that an id is missing", z.object({ id: idSchema }), {}, "id is missing"],
    ["that a number is needed", z.number(), "1", "must be a number"],
    ["that a number is needed in an address", z.coerce.number().int(), "x", "must be a number"],
    ["that no number is without end", z.number(), Number.POSITIVE_INFINITY, "must be a number"],
    ["that a whole number is needed", z.number().int(), 1.5, "must be a whole number"],
    ["that a text is needed", z.string(), 1, "must be a text"],
    ["that true or false is needed", z.boolean(), "yes", "must be true or false"],
    ["that a list is needed", z.array(z.string()), {}, "must be a list"],
    ["that an object is needed", z.object({}), [], "must be an object"],
    ["the same where its names are free", z.record(z.string(), z.number()), null, "must be an object"],
    ["the least", z.number().min(1), 0, "must be 1 or more"],
    ["the most", z.coerce.number().int().max(200), "201", "must be 200 or less"],
    ["what it must exceed", z.number().positive(), 0, "must be more than 0"],
    ["what it must stay under", z.number().lt(2.5), 2.5, "must be less than 2.5"],
    ["the most of all whole numbers", z.int(), 2 ** 60, "must be 9007199254740991 or less"],
    ["the step", z.number().multipleOf(0.25), 0.3, "must be a multiple of 0.25"],
    ["that a text is empty", textSchema(5), "  ", "must not be empty"],
    ["the least characters", z.string().min(8), "x", "must have 8 characters or more"],
    ["the most characters", textSchema(5), "123456", "must have 5 characters or fewer"],
    ["that a list is empty", z.array(z.string()).min(1), [], "must not be empty"],
    ["the least entries of a list", z.array(z.string()).min(2), ["x"], "must hold 2 or more"],
    ["the most entries of a list", z.array(z.string()).max(1), ["x", "y"], "must hold 1 or fewer"],
    ["which values there are", roleSchema, "boss", "must be one of: rider, mechanic, manager, auditor"],
    ["the one value that there is", z.literal(true), false, "must be true"],
    ["how an id is written", idSchema, "x", "must be a UUID"],
    ["how a day is written", daySchema, "2026-7-1", "must be a day of the calendar, such as 2026-07-14"],
    ["that there is no such day", daySchema, "2026-02-30", "must be a day of the calendar, such as 2026-07-14"],
    ["how a moment is written", instantSchema, "2026-07-14", "must be a moment with its offset, such as 2026-07-14T04:31:00Z"],
    ["that its form is another", z.email(), "x", "is not written in the form that this field takes"],
    ["that its form is another one", z.string().regex(/^x$/), "y", "is not written in the form that this field takes"],
    ["that it fits nothing there is", z.union([z.number(), z.boolean()]), "x", "fits none of the shapes that this field takes"],
    ["which kinds there are", kinds(), { kind: "c" }, "kind must be one of: a, b"],
    ["which kinds there are, without one", kinds(), {}, "kind must be one of: a, b"],
    ["which fields do not exist", z.strictObject({}), { a: 1, b: 2 }, "holds fields that do not exist: a, b"],
    ["that a name in it is wrong", z.record(z.uuid(), z.number()), { x: 1 }, "x is not valid"],
    ["that something is not right", z.custom<string>(() => false), 1, "is not valid"],
  ])("%s", (_what, schema, value, sentence) => {
    expect(said(schema, value)).toEqual([sentence]);
  });

  test("in the words of its own contract, where those have any", () => {
    expect(said(daySchema, "1899-12-31")).toEqual(["lies outside the years 1900 to 9999"]);
    expect(said(policySchema, { workshopDays: [1, 1] })).toEqual(["workshopDays names a weekday twice"]);
  });
});

test("how many are refused is said of one and of many, in plain figures, and no more are named than an answer holds", () => {
  const told = (count: number) => notValid(Array.from({ length: count }, (_, at) => ({ pointer: `/${at}`, message: "is not valid" })));
  expect([1, 2, 100].map((count) => told(count).detail)).toEqual([
    "One field is not valid. Nothing was stored.",
    "2 fields are not valid. Nothing was stored.",
    "100 fields are not valid. Nothing was stored.",
  ]);
  expect(told(1234).detail).toBe("1234 fields are not valid; the first 100 are named. Nothing was stored.");
  expect([2, 1234].map((count) => told(count).extra.issues?.length)).toEqual([2, 100]);
  expect([1, 1234].map((count) => wordCounted("refusal.import", count, "en", { count }))).toEqual([
    "One thing is wrong in the file. Nothing was imported.",
    "1234 things are wrong in the file. Nothing was imported.",
  ]);
});

function kinds(): z.ZodType {
  return z.discriminatedUnion("kind", [z.object({ kind: z.literal("a") }), z.object({ kind: z.literal("b") })]);
}
