// Odd values in bodies that are right otherwise: taken exactly or refused, and never a failure.
import { randomUUID } from "node:crypto";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { allErrors } from "../../src/rooms.ts";
import { repairOf, reportOf } from "../support/acts.ts";
import { type EveryRoute, expectProblem, openEveryRoute, takingJson } from "../support/every-route.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";

let every: EveryRoute;
beforeAll(async () => {
  every = await openEveryRoute();
});
afterAll(() => every.app.close());

const odd: readonly unknown[] = [
  ...[null, true, "", " ", "x", "\u0000", "a\u0000b", "\ud800", "\udc00x", "\ufffe", "x".repeat(3000), "NaN", "Infinity"],
  ...[0, -0, -1, 0.5, 1e-320, 1e21, 1e308, -1e308, 2 ** 31, 2 ** 53, [], {}, [null], [[]], { a: { b: 1 } }],
  ...["0000-01-01", "9999-12-31", "2026-02-30", "0000-01-01T00:00:00Z", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"],
  ...["1969-12-31T23:59:59Z", "00000000-0000-0000-0000-000000000000", "FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF", "'; DROP TABLE ledger; --"],
  ...["👩‍🔧", "‮רוכב", "เบรกหน้า", Array.from({ length: 300 }, () => "x")],
];

/** Every place in a body, as a way to put another value there. */
function places(body: unknown, put: (value: unknown) => unknown = (value) => value): ((value: unknown) => unknown)[] {
  if (Array.isArray(body)) {
    return [put, ...body.flatMap((part, index) => places(part, (value) => put(body.map((old, at) => (at === index ? value : old)))))];
  }
  if (body === null || typeof body !== "object") return [put];
  return [put, ...Object.entries(body).flatMap(([key, part]) => places(part, (value) => put({ ...body, [key]: value })))];
}

/** JSON that can hold half characters and numbers too large for any field. */
const text = (body: unknown): string => JSON.stringify(body) ?? "null";

describe("odd values", () => {
  test("an odd value in any place of a body that is right otherwise never makes a route fail", async () => {
    const cases = takingJson.flatMap((definition) => {
      const sample = every.samples()[definition.operationId];
      return sample ? places(sample).flatMap((put) => odd.map((value) => ({ definition, body: put(value) }))) : [];
    });
    const statuses = new Set<number>();
    const said = new Set<string>();
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...cases), async ({ definition, body }) => {
        const sent = text(body).replace(/"id":"[0-9a-f-]{36}"/, `"id":"${randomUUID()}"`);
        const answer = await every
          .call(await every.callerOf(definition), definition)
          .set("content-type", "application/json")
          .send(sent);
        statuses.add(answer.status);
        for (const { message } of answer.body.issues ?? []) said.add(message);
        expect(answer.status, answer.text).toBeLessThan(500);
        if (answer.status >= 400) expect(Object.keys(allErrors)).toContain(answer.body.code);
      }),
      { numRuns: 800 },
    );
    // The samples are right but for the odd value: what does no harm is taken.
    expect([...statuses]).toEqual(expect.arrayContaining([201, 422]));
    // What a library says is not for the one at the gate; the words that a field takes are our own.
    const library = [...said].filter((message) => !message.startsWith("must be one of: "));
    expect(library.filter((message) => /invalid|expected|received|too (big|small)|unrecognized|pattern/i.test(message))).toEqual([]);
    expect(said.size).toBeGreaterThan(10);
  });

  test("any JSON at all sent to any writing route is refused or taken, and never makes it fail", async () => {
    const anyCase = fc.tuple(fc.constantFrom(...takingJson), fc.jsonValue());
    await fc.assert(
      fc.asyncProperty(anyCase, async ([definition, body]) => {
        const answer = await every
          .call(await every.callerOf(definition), definition)
          .set("content-type", "application/json")
          .send(text(body));
        expect(answer.status, answer.text).toBeLessThan(500);
      }),
      { numRuns: 300 },
    );
  });

  test("what people write is kept exactly: emoji, right to left, Thai, combining marks, line breaks, quotes", async () => {
    const note = "👩‍🔧🏍️ רכב תקין מקדימה\nเบรกหน้าหลวม é é — “frayed” 'end' <b>&amp;</b> \\u0041 %s $x; DROP TABLE defect; --";
    const report = await (await every.as("R001"))
      .post("/v1/defects")
      .send({ ...reportOf(every.app, every.machineId, "x"), observationIds: [], note });
    expect(report.status, report.text).toBe(201);
    const shown = await (await every.as("M001")).get(`/v1/defects/${report.body.defect.id}`).expect(200);
    expect(shown.body.note).toBe(note);
  });

  test("an id in capitals is the same id: answered in small letters, repeated, found, repaired and closed", async () => {
    const id = randomUUID();
    const body = reportOf(every.app, every.machineId.toUpperCase(), "horn.silent", { id: id.toUpperCase() });
    const machine = await addTestMachine(every.app);
    const sent = { ...body, machineId: machine.toUpperCase() };
    const first = await (await every.as("R001")).post("/v1/defects").send(sent);
    expect(first.status, first.text).toBe(201);
    expect(first.body.defect.id).toBe(id);
    const again = await (await every.as("R001")).post("/v1/defects").send(sent);
    expect([again.status, again.text]).toEqual([200, first.text]);
    const repair = await (await every.as("M001")).post(`/v1/defects/${id.toUpperCase()}/repairs`).send(repairOf(every.app));
    expect(repair.status, repair.text).toBe(201);
    const off = await (await every.as("M002")).post(`/v1/defects/${id}/sign-off`).send({ id: randomUUID() });
    expect(off.status, off.text).toBe(201);
    const board = await (await every.as("F101")).get("/v1/readiness").query({ depotId: every.app.cast.farDepotId.toUpperCase() });
    expect(board.status, board.text).toBe(200);
  });

  test("a depot in capitals is still the depot of a rider who belongs there", async () => {
    const list = await (await every.as("R001")).get("/v1/defects").query({ depotId: every.app.cast.homeDepotId.toUpperCase() });
    expect(list.status, list.text).toBe(200);
  });

  test("a check of the longest notes on every item is taken, and one byte too many in a note is refused with its place", async () => {
    const machine = await addTestMachine(every.app);
    const body = nilCheckOf(every.app, machine);
    const answers = body.answers.map((answer) => ({ ...answer, note: "ก".repeat(1000) }));
    const taken = await (await every.as("R001")).post("/v1/daily-checks").send({ ...body, answers });
    expect(taken.status, taken.text).toBe(201);
    const over = answers.map((answer, index) => (index === 3 ? { ...answer, note: "ก".repeat(1001) } : answer));
    const refused = await (await every.as("R001")).post("/v1/daily-checks").send({ ...body, id: randomUUID(), answers: over });
    expectProblem(refused, 422, "not-valid", "note");
    expect(refused.body.issues).toEqual([{ pointer: "/answers/3/note", message: expect.any(String) }]);
  });
});
