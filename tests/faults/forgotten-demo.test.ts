// Every call that reads, and every paper, over a store in which everything that may go has gone: nothing fails, and what stands today stands.
import type { FastifyInstance } from "fastify";
import { afterAll, beforeAll, expect, test } from "vitest";
import { foundDemoFirm, secretOf } from "../../seeds/index.ts";
import type { Role } from "../../shared/contracts/common.ts";
import { buildApp } from "../../src/app.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { openPeople, type People } from "../../src/people/index.ts";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { expectAgreement, expectWholeChains } from "../support/proofs.ts";

let context: TestContext;
let people: People;
let app: FastifyInstance;
// What is watched never ends by itself.
const reading = allRoutes.filter(({ method, operationId }) => method === "GET" && !operationId.startsWith("watch"));
const numbers: Readonly<Record<Role, string>> = { auditor: "A001", manager: "F001", mechanic: "M001", rider: "R001" };
const tokens = new Map<Role, string>();

beforeAll(async () => {
  context = await openTestContext("2026-11-25T12:00:00.000Z");
  await foundDemoFirm(context, { weeks: 4 });
  people = await openPeople(context);
  app = await buildApp(context, people.authenticate);
  // Sixteen months without a record.
  context.clock.moveTo("2028-03-28T12:00:00.000Z");
  for (const [role, staffNumber] of Object.entries(numbers)) {
    const answer = await app.inject({ method: "POST", url: "/v1/sign-in", payload: { staffNumber, secret: secretOf(staffNumber) } });
    tokens.set(role as Role, answer.json().accessToken);
  }
});
afterAll(async () => {
  await app.close();
  await people.close();
  await context.close();
});

const get = (url: string, role: Role) => app.inject({ method: "GET", url, headers: { authorization: `Bearer ${tokens.get(role)}` } });
const idsOf = async (sql: string): Promise<string[]> => (await context.db.rows<{ id: string }>(sql)).map(({ id }) => id);

/** What is asked, as far as a route takes it: days of the history, a month of it, a moment in it. */
const asked: readonly Readonly<Record<string, string>>[] = [
  {},
  { from: "2026-10-28", to: "2026-11-25" },
  { month: "2026-10" },
  { month: "2026-11" },
  { month: "2026-11", format: "csv" },
  { kind: "daily" },
  { kind: "weekly" },
  { on: "2026-11-10" },
  { at: "2026-11-10T12:00:00.000Z" },
  { limit: "200" },
];
const queriesOf = ({ query }: Route, depotId: string) =>
  query ? asked.flatMap((one) => [one, { ...one, depotId }]).filter((one) => query.safeParse(one).success) : [{}];

test("what is due is forgotten in several steps, and every machine stands as before", async () => {
  const board = await get("/v1/readiness", "manager");
  const { due } = (await get("/v1/retention", "manager")).json();
  expect(due).toBeGreaterThan(500);
  expect(await forgetOld(context, { most: 300 })).toBe(due);
  const [steps] = await context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM ledger WHERE kind = 'records-forgotten'");
  expect(steps?.n).toBe(Math.ceil(due / 300));
  expect((await get("/v1/retention", "manager")).json().due).toBe(0);
  expect((await get("/v1/readiness", "manager")).json()).toEqual(board.json());
  await expectWholeChains(context);
  await expectAgreement(context);
});

test("every reading call answers for everything there is, with what is left or that it was forgotten", async () => {
  const ids: Readonly<Record<string, string[]>> = {
    machines: await idsOf("SELECT id FROM machine ORDER BY registration_mark LIMIT 3"),
    defects: await idsOf("SELECT d.id FROM defect d JOIN ledger l ON l.id = d.id ORDER BY l.data IS NULL DESC, d.id LIMIT 8"),
    "daily-checks": await idsOf("SELECT id FROM daily_check ORDER BY id LIMIT 5"),
    "weekly-inspections": await idsOf("SELECT id FROM weekly_inspection ORDER BY id LIMIT 5"),
    "outside-work": await idsOf("SELECT id FROM ledger WHERE kind = 'machine-sent-out'"),
    campaigns: await idsOf("SELECT id FROM campaign"),
    models: await idsOf("SELECT id FROM machine_model"),
    checkpoints: ["1"],
    allocations: await idsOf("SELECT id FROM depot ORDER BY name"),
    records: await idsOf("SELECT DISTINCT ON (kind, data IS NULL) id FROM ledger ORDER BY kind, data IS NULL, id"),
  };
  const [depotId = ""] = await idsOf("SELECT id FROM depot ORDER BY name");
  let forgotten = 0;
  for (const definition of reading) {
    const [, , noun = ""] = definition.path.split("/");
    const role = (["manager", "auditor", "mechanic", "rider"] as const).find(
      (one) => typeof definition.who === "string" || definition.who.includes(one),
    );
    for (const id of definition.params ? (ids[noun] ?? ["019b0000-0000-7000-8000-000000000000"]) : [""]) {
      for (const query of queriesOf(definition, depotId)) {
        const url = `${definition.path.replace(":day", "2026-11-10").replace(/:\w+/, id)}?${new URLSearchParams(query).toString()}`;
        const answer = await get(url, role ?? "manager");
        const code = answer.headers["content-type"]?.toString().includes("problem") ? answer.json().code : null;
        if (code === "record-forgotten") forgotten += 1;
        // The plan and the fleet's days are of one depot each.
        const isAskedForDepot = code === "not-valid" && answer.json().issues?.[0]?.pointer === "/query/depotId";
        const isTold = isAskedForDepot || ["record-forgotten", "not-found", "period-not-valid"].includes(code);
        const isFine = code === null ? answer.statusCode === 200 : isTold;
        expect(isFine ? "fine" : `${url}: ${answer.statusCode} ${answer.body.slice(0, 300)}`).toBe("fine");
      }
    }
  }
  expect(forgotten).toBeGreaterThan(5);
});
