// The table of routes: each with an entry for who may, a name of its own, and the calls that clients rely on.
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { anyone, none, objectOf, routesWith, type ServiceContext, signedIn, tableOf } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { routeTable } from "../../src/tables.ts";
import { filesOf } from "../support/sources.ts";
import { testService } from "../support/test-service.ts";

/** The calls that are promised to clients: method, address, operation. */
const promised = `
POST  /v1/sign-in                       signIn
POST  /v1/sign-in/renewal               renewSignIn
POST  /v1/sign-out                      signOut
GET   /v1/me                            whoAmI
PUT   /v1/me/secret                     changeSecret
POST  /v1/staff/:id/secret-reset        resetSecret
GET   /.well-known/jwks.json            publicKeys
GET   /v1/depots                        listDepots
POST  /v1/depots                        addDepot
GET   /v1/models                        listModels
POST  /v1/models                        addModel
GET   /v1/models/:id                    showModel
PUT   /v1/models/:id                    reviseModel
GET   /v1/machines                      listMachines
POST  /v1/machines                      addMachine
GET   /v1/machines/:id                  showMachine
PATCH /v1/machines/:id                  amendMachine
POST  /v1/machines/import               importMachines
GET   /v1/machines/:id/papers           listPapers
POST  /v1/machines/:id/papers           addPaper
GET   /v1/staff                         listStaff
POST  /v1/staff                         addStaff
PATCH /v1/staff/:id                     amendStaff
GET   /v1/machines/:id/history          machineHistory
GET   /v1/machines/:id/sheet            checkSheet
POST  /v1/daily-checks                  submitDailyCheck
GET   /v1/daily-checks                  listDailyChecks
GET   /v1/daily-checks/:id              showDailyCheck
POST  /v1/weekly-inspections            submitWeeklyInspection
GET   /v1/weekly-inspections            listWeeklyInspections
GET   /v1/weekly-inspections/:id        showWeeklyInspection
GET   /v1/defects                       listDefects
POST  /v1/defects                       reportDefect
GET   /v1/defects/:id                   showDefect
POST  /v1/defects/:id/repairs           recordRepair
POST  /v1/defects/:id/sign-off          signOffDefect
POST  /v1/defects/:id/deferral          deferDefect
PUT   /v1/allocations/:depotId/:day     keepAllocation
GET   /v1/allocations/:depotId/:day     showAllocation
POST  /v1/defects/:id/waiting           waitForPart
POST  /v1/defects/:id/notes             addDefectNote
POST  /v1/defects/:id/not-found         recordNotFound
POST  /v1/machines/:id/falls            reportFall
POST  /v1/campaigns                     addCampaign
GET   /v1/campaigns                     listCampaigns
GET   /v1/campaigns/:id                 showCampaign
POST  /v1/campaigns/:id/ending          endCampaign
POST  /v1/machines/:id/outside-work     sendOut
POST  /v1/outside-work/:id/return       takeBack
GET   /v1/readiness                     readiness
POST  /v1/calculations/chain-adjustment        calculateChainAdjustment
POST  /v1/calculations/chain-elongation        calculateChainElongation
POST  /v1/calculations/pressure-at-temperature calculatePressureAtTemperature
POST  /v1/calculations/brake-efficiency        calculateBrakeEfficiency
POST  /v1/calculations/linear-trend            calculateLinearTrend
POST  /v1/calculations/proportion-interval     calculateProportionInterval
POST  /v1/calculations/rate-interval           calculateRateInterval
POST  /v1/calculations/survival                calculateSurvival
GET   /v1/insight/honesty               checkHonesty
GET   /v1/insight/rates                 defectRates
GET   /v1/insight/charts                controlCharts
GET   /v1/insight/component-life        componentLife
GET   /v1/insight/risk                  machineRisk
GET   /v1/records                        monthRecords
GET   /v1/defects/:id/report.pdf        defectReport
GET   /v1/falls/:id/report.pdf          fallReport
GET   /v1/daily-checks/:id/report.pdf   dailyCheckReport
GET   /v1/weekly-inspections/:id/report.pdf weeklyInspectionReport
GET   /v1/campaigns/:id/report.pdf      campaignReport
GET   /v1/machines/:id/roadworthiness.pdf machineRoadworthiness
GET   /v1/reports/defects.pdf           defectSummary
GET   /v1/reports/roadworthiness.pdf    fleetRoadworthiness
GET   /v1/reports/review.pdf            fleetReview
GET   /v1/machines/:id/sheet.pdf        blankSheet
GET   /v1/machines/:id/notice.pdf       machineNotice
GET   /v1/reports/labels.pdf            machineLabels
`
  .trim()
  .split("\n")
  .map((row) => row.split(/\s+/).join(" "));

describe("every route", () => {
  test("says who may call it, by role or for everybody", () => {
    for (const { operationId, who } of allRoutes) {
      expect(who, operationId).toBeDefined();
      if (typeof who !== "string") expect(who.length, operationId).toBeGreaterThan(0);
    }
    const open = allRoutes.filter(({ who }) => who === "anyone").map(({ operationId }) => operationId);
    expect(open.sort()).toEqual(["openSession", "publicKeys", "renewSession", "renewSignIn", "showProblem", "signIn"]);
  });

  test("says what it answers, and in one sentence what it is for", () => {
    for (const { operationId, answers, summary } of allRoutes) {
      expect(Object.keys(answers).length, operationId).toBeGreaterThan(0);
      expect(summary.trim().length, operationId).toBeGreaterThan(5);
    }
  });

  test("has an operation name of its own, in camelCase, and an address of its own", () => {
    const names = allRoutes.map(({ operationId }) => operationId);
    expect(names.filter((name) => !/^[a-z][a-zA-Z]+$/.test(name))).toEqual([]);
    expect(new Set(names).size).toBe(names.length);
    const addresses = allRoutes.map(({ method, path }) => `${method} ${path}`);
    expect(new Set(addresses).size).toBe(addresses.length);
  });

  test("is in the printed table, with who may call it and whose depot it is about", () => {
    const rows = routeTable().split("\n");
    expect(rows).toHaveLength(allRoutes.length);
    expect(rows.find((row) => row.includes("signOffDefect"))).toMatch(
      /^POST {3}\/v1\/defects\/:id\/sign-off +signOffDefect +mechanic +act$/,
    );
    expect(rows.find((row) => row.includes("changePolicy"))).toMatch(/ manager +firm$/);
  });

  test("has a row in its room's table, short enough to be read as one", () => {
    const rows = filesOf(["src"]).flatMap(({ text }) =>
      text.split("\n").filter((line) => /^ +\w+: +\["(GET|POST|PUT|PATCH) \//.test(line)),
    );
    expect(rows.map((row) => /\w+/.exec(row)?.[0] ?? "").sort()).toEqual(allRoutes.map(({ operationId }) => operationId).sort());
    expect(rows.filter((row) => row.length > 100)).toEqual([]);
  });

  test("says whose depot it is about, where its address names an object, its query a depot, or its body either", () => {
    const names = (part: unknown, field: string): boolean => part instanceof z.ZodObject && field in part.shape;
    for (const { operationId, path, query, body, who, whose } of allRoutes) {
      const inBody = ["machineId", "depotId", "depotIds"].some((field) => names(body, field));
      if (inBody) expect(whose.name, operationId).toMatch(/^(?:act|firm)$|in body$/);
      if (path.includes(":")) expect(["own", "in view"], operationId).not.toContain(whose.name);
      // What is the same for every depot by its nature, and asks nothing.
      if (path.includes(":") && ["none", "shared"].includes(whose.name)) {
        expect(["showModel", "checkpointTimeStamp", "showProblem"]).toContain(operationId);
      }
      if (names(query, "depotId")) expect(whose.name, operationId).toBe("in view");
      if (whose.name === "in view") expect(names(query, "depotId"), operationId).toBe(true);
      else if (whose.ask && !inBody) expect(path, operationId).toMatch(/:(id|depotId)\b/);
      if (who === "anyone") expect(whose.ask ?? whose.wholeFirm, operationId).toBeUndefined();
    }
  });

  test("takes no body it does not describe, and no parameter either", () => {
    for (const { operationId, method, path, params, body } of allRoutes) {
      expect(params !== undefined, operationId).toBe(path.includes(":"));
      if (method === "GET") expect(body, operationId).toBeUndefined();
    }
  });
});

test("every call that is promised to clients is there, at its address", () => {
  const there = allRoutes.map(({ method, path, operationId }) => `${method} ${path} ${operationId}`);
  expect(promised.filter((call) => !there.includes(call))).toEqual([]);
});

test("what a handler answers is held to its contract by the compiler, and nobody is signed in at an open door", () => {
  const answers = { 200: z.object({ day: z.string(), state: z.literal("due") }) };
  const { route, routes } = routesWith<ServiceContext>();
  const one = { summary: "One", answers };
  const ofSomebody = tableOf({ one: ["GET /x", signedIn, none] });
  routes("test", ofSomebody, { one: route({ ...one, handler: async ({ actor }) => ({ day: actor.name, state: "due" as const }) }) });
  // @ts-expect-error a member is missing
  routes("test", ofSomebody, { one: route({ ...one, handler: async () => ({ day: "2026-07-14" }) }) });
  // @ts-expect-error a member is of another type
  routes("test", ofSomebody, { one: route({ ...one, handler: async () => ({ day: 14, state: "due" as const }) }) });
  // @ts-expect-error the reply is sent past the contract
  routes("test", ofSomebody, { one: route({ ...one, handler: ({ reply }) => reply.send({ day: "2026-07-14", state: "due" }) }) });
  // @ts-expect-error what is kept for a repetition is read of the answer
  routes("test", ofSomebody, { one: route({ ...one, keyed: ({ id }) => id, handler: async () => ({ day: "", state: "due" as const }) }) });
  const ofAnybody = tableOf({ one: ["GET /x", anyone, none] });
  // @ts-expect-error nobody is signed in
  routes("test", ofAnybody, { one: route({ ...one, handler: ({ actor }) => ({ day: actor.name, state: "due" as const }) }) });
  const kind = {
    name: "kind",
    missing: "None.",
    find: async ({ clock }: ServiceContext) => ({ depotId: null, day: clock.now().toISOString() }),
    depotOf: () => null,
  };
  const ofObject = tableOf({ one: ["GET /x/:id", signedIn, objectOf(kind)] });
  routes("test", ofObject, { one: route({ ...one, handler: ({ found }) => ({ day: found.day, state: "due" as const }) }) });
  // @ts-expect-error the door read something else
  routes("test", ofObject, { one: route({ ...one, handler: ({ found }) => ({ day: found.name, state: "due" as const }) }) });
  // @ts-expect-error the door read nothing
  routes("test", ofSomebody, { one: route({ ...one, handler: ({ found }) => ({ day: found.day, state: "due" as const }) }) });
  const part = () => route({ ...one, handler: async () => ({ day: "", state: "due" as const }) });
  // @ts-expect-error a part has no row
  routes("test", ofSomebody, { one: part(), two: part() });
  // @ts-expect-error a row has no part
  expect(() => routes("test", ofSomebody, {})).toThrow();
});

describe("on the running service", () => {
  const { app } = testService();

  test("every route of the table is hung up, and only the house's own pages are hung up beside it", () => {
    for (const { method, path, operationId } of allRoutes) expect(app.app.hasRoute({ method, url: path }), operationId).toBe(true);
    const hangers = filesOf(["src"]).flatMap(({ path, text }) =>
      [...text.matchAll(/\bapp\.(get|post|put|patch|delete|head|options|all|route)(?:<[^(]*>)?\(\s*("[^"]*")?/g)].map(
        (match) => `${path} ${match[2] ?? "the table"}`,
      ),
    );
    const own = ["/openapi.json", "/healthz", "/readyz", "/metrics"].map((address) => `src/app.ts "${address}"`);
    expect(hangers.sort()).toEqual([...own, "src/platform/http/routes.ts the table", "src/web/index.ts the table"].sort());
  });

  test("a route that is not for anyone answers 401 without a token, whatever is sent", async () => {
    for (const { method, path, who, operationId } of allRoutes) {
      if (who === "anyone") continue;
      const url = path.replace(":id", "019b0000-0000-7000-8000-000000000000");
      const answer = await app.app.inject({ method, url, ...(method === "GET" ? {} : { payload: {} }) });
      expect([answer.statusCode, answer.json().code], operationId).toEqual([401, "not-signed-in"]);
    }
  });

  test("a role that is not listed answers 403 before anything of the call is looked at", async () => {
    const numbers = { rider: "R001", mechanic: "M001", manager: "F001", auditor: "A001" } as const;
    for (const role of ["rider", "mechanic", "manager", "auditor"] as const) {
      const { accessToken } = await app.tokensOf(numbers[role]);
      for (const { method, path, who, operationId } of allRoutes) {
        if (typeof who === "string" || who.includes(role)) continue;
        const url = path.replace(":id", "not-an-id");
        const headers = { authorization: `Bearer ${accessToken}` };
        const answer = await app.app.inject({ method, url, headers, ...(method === "GET" ? {} : { payload: { odd: true } }) });
        expect([answer.statusCode, answer.json().code], `${operationId} as ${role}`).toEqual([403, "not-your-role"]);
      }
    }
  });
});
