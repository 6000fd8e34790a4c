// Callers who may not and addresses that are none, at every door: a clear problem each, nothing written, nothing answers 500.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { z } from "zod";
import { allErrors, allRoutes } from "../../src/rooms.ts";
import { expectAnswer } from "../support/acts.ts";
import { openTestApp } from "../support/app.ts";
import { type EveryRoute, expectProblem, mayCall, openEveryRoute, personOf, queries, roles, writing } from "../support/every-route.ts";

let every: EveryRoute;
beforeAll(async () => {
  every = await openEveryRoute();
});
afterAll(() => every.app.close());

describe("who may not", () => {
  test("every route but those for anyone refuses a call without a token, with a made-up one, and with a scheme of another kind", async () => {
    for (const definition of allRoutes.filter(({ who }) => who !== "anyone")) {
      const about = definition.operationId;
      expectProblem(await every.call(every.app.anyone, definition), 401, "not-signed-in", about);
      expectProblem(await every.call(every.app.anyone, definition).set("authorization", "Bearer nonsense"), 401, "not-signed-in", about);
      expectProblem(await every.call(every.app.anyone, definition).set("authorization", "Basic UjAwMTp4"), 401, "not-signed-in", about);
    }
  });

  test("every route refuses each role that it does not name, before it looks at the body", async () => {
    await every.nothingWritten(allRoutes, async (definition) => {
      for (const role of roles.filter((one) => !mayCall(definition, one))) {
        const answer = await every.call(await every.as(personOf[role]), definition);
        expectProblem(answer, 403, "not-your-role", `${definition.operationId} as ${role}`);
      }
    });
  });

  test("what concerns the whole firm is refused to a manager of one depot, before the body is looked at", async () => {
    const ofFirm = allRoutes.filter(({ whose }) => whose.wholeFirm);
    expect(ofFirm.map(({ operationId }) => operationId).sort()).toEqual([
      "addDepot",
      "amendPolicy",
      "changePolicy",
      "importParts",
      "keepPart",
      "liftHold",
      "listHolds",
      "placeHold",
      "reviseModel",
      "showRetention",
    ]);
    await every.nothingWritten(ofFirm, async (definition) => {
      const answer = await every.call(await every.as("F101"), definition).send({ odd: true });
      expectProblem(answer, 403, "other-depot", definition.operationId);
    });
  });

  test("what a body names of another depot is refused, and nothing is written", async () => {
    const inBody = allRoutes.filter(({ whose }) => whose.name.endsWith("in body"));
    expect(inBody.map(({ operationId }) => operationId).sort()).toEqual([
      "addMachine",
      "addStaff",
      "allocateMachines",
      "recordStock",
      "requestAuditPack",
      "saveInspectionDraft",
    ]);
    const { farDepotId, staffId } = every.app.cast;
    const moved = { allDepots: false, depotIds: [farDepotId] };
    const manager = await every.as("F001");
    await expectAnswer(manager.patch(`/v1/staff/${staffId("M003")}`).send(moved), 200);
    const bodies = every.samples();
    await every.nothingWritten(inBody, async (definition) => {
      const caller = await every.as(mayCall(definition, "manager") ? "F101" : "M003");
      expectProblem(await every.call(caller, definition).send(bodies[definition.operationId]), 403, "other-depot", definition.operationId);
    });
  });

  test("every route table entry is for the roles that the design names, and the auditor writes nothing about machines or people", () => {
    const auditors = writing.filter((definition) => definition.who !== "anyone" && mayCall(definition, "auditor"));
    for (const { room, operationId } of auditors) {
      expect(["fleet", "defects", "checks"], operationId).not.toContain(room);
    }
  });

  test("a token that has run out is refused with a code of its own", async () => {
    const late = await openTestApp();
    try {
      const client = await late.signIn("R001");
      late.context.clock.advance(16 * 60_000);
      expectProblem(await client.get("/v1/me"), 401, "token-expired", "whoAmI");
    } finally {
      await late.close();
    }
  });
});

describe("addresses", () => {
  const withId = allRoutes.filter(({ path }) => path.includes(":id"));

  test.each(["x", "0", "1e9", "not-a-uuid", "00000000-0000-0000-0000-00000000000g", "%20", "%00", "a'%3B--"])(
    "every route with an id refuses %s as not valid, naming the parameter",
    async (id) => {
      for (const definition of withId) {
        const request = every.call(await every.callerOf(definition), definition, id);
        const answer = await (definition.method === "GET" ? request.query(queries[definition.operationId] ?? {}) : request.send({}));
        expectProblem(answer, 422, "not-valid", definition.operationId);
        expect(answer.body.issues[0].pointer, definition.operationId).toBe("/params/id");
      }
    },
  );

  test("every route with an id answers not-found for one that stands for nothing", async () => {
    // A draft comes into being under the id that the client made.
    for (const definition of withId.filter(({ operationId }) => operationId !== "saveInspectionDraft")) {
      const request = every.call(await every.callerOf(definition), definition, randomUUID());
      const answer = await (definition.method === "GET"
        ? request.query(queries[definition.operationId] ?? {})
        : request.send(every.samples()[definition.operationId]));
      expectProblem(answer, 404, "not-found", definition.operationId);
    }
  });

  test("an address that cannot be read, is too long or does not exist gets a problem, and a wrong method says which are taken", async () => {
    const client = await every.as("F001");
    for (const path of [
      "/v1/defects/%ff",
      "/v1/defects/%",
      `/v1/defects/${"x".repeat(500)}`,
      "/v1/nothing",
      "/v1//machines",
      "/pages",
      "/pages/..%2fpage.html",
      "/nobody",
    ]) {
      const answer = await client.get(path);
      expect(answer.status, path).toBeGreaterThanOrEqual(400);
      expect(answer.status, path).toBeLessThan(500);
      expect(answer.headers["content-type"], path).toContain("application/problem+json");
      expect(Object.keys(allErrors), path).toContain(answer.body.code);
    }
    const wrong = await client.delete("/v1/machines");
    expectProblem(wrong, 405, "method-not-allowed", "DELETE");
    expect(wrong.headers["allow"]).toBe("GET, POST");
  });

  test("every list refuses a made-up cursor, an odd limit and an unknown or doubled parameter", async () => {
    const lists = allRoutes.filter(({ method, operationId }) => method === "GET" && /^list|History$|^fieldKit$/.test(operationId));
    expect(lists.length).toBeGreaterThan(8);
    const cursor = (parts: unknown) => Buffer.from(JSON.stringify(parts)).toString("base64url");
    for (const definition of lists) {
      const client = await every.callerOf(definition);
      for (const query of [
        ...[{ limit: "0" }, { limit: "201" }, { limit: "x" }, { limit: "1.5" }, { limit: "NaN" }, { limit: ["1", "2"] }, { odd: "1" }],
        ...[{ cursor: "x" }, { cursor: cursor([]) }, { cursor: cursor([1]) }, { cursor: cursor({}) }, { cursor: cursor(["\u0000"]) }],
      ]) {
        const answer = await every.call(client, definition).query(query);
        expectProblem(answer, 422, "not-valid", `${definition.operationId} ${JSON.stringify(query)}`);
      }
      for (const parts of [["x"], ["x", "y"], ["2026-07-13T04:30:00.000Z", "y"], ["x", randomUUID()], ["9", "9", "9"]]) {
        const answer = await every.call(client, definition).query({ cursor: cursor(parts) });
        expect([200, 422], `${definition.operationId} ${JSON.stringify(parts)}: ${answer.text}`).toContain(answer.status);
      }
    }
  });

  test("every query with days or moments refuses what is none, and never fails at the ends of the calendar", async () => {
    const dated = [
      ["/v1/defects", "from"],
      ["/v1/defects", "to"],
      ["/v1/daily-checks", "from"],
      ["/v1/weekly-inspections", "to"],
      ["/v1/readiness", "at"],
    ] as const;
    const client = await every.as("F001");
    for (const [path, name] of dated) {
      for (const value of ["2026-02-30", "yesterday", "", "2026-7-1", "NaN", "-1"]) {
        expectProblem(await client.get(path).query({ [name]: value }), 422, "not-valid", `${path} ${name}=${value}`);
      }
      for (const day of ["0000-01-01", "0001-01-01", "1899-12-31", "9999-12-31"]) {
        const value = name === "at" ? `${day}T00:00:00Z` : day;
        const answer = await client.get(path).query({ [name]: value });
        expect([200, 422], `${path} ${name}=${value}: ${answer.text}`).toContain(answer.status);
      }
    }
  });

  test("every query with a first and a last day refuses the wrong order, naming the first day, and takes one day", async () => {
    const periods = allRoutes.filter(({ query }) => takes(query, "from") && takes(query, "to"));
    expect(periods.map(({ operationId }) => operationId)).toEqual(
      expect.arrayContaining(["listDefects", "listDailyChecks", "checkHonesty"]),
    );
    for (const definition of periods) {
      const client = await every.callerOf(definition);
      const answer = await every.call(client, definition).query({ from: "2026-07-10", to: "2026-07-09" });
      expectProblem(answer, 422, "not-valid", definition.operationId);
      expect(answer.body.issues, definition.operationId).toEqual([{ pointer: "/query/from", message: "is after its last day" }]);
      const one = await every.call(client, definition).query({ from: "2026-07-10", to: "2026-07-10" });
      expect(one.status, `${definition.operationId}: ${one.text}`).toBe(200);
    }
  });
});

const takes = (query: unknown, field: string): boolean => query instanceof z.ZodObject && field in query.shape;
