// What the phone takes along, and that the verdict which it gives by it is the service's own.
import { randomUUID } from "node:crypto";
import { gunzipSync } from "node:zlib";
import fc from "fast-check";
import { beforeAll, expect, test } from "vitest";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import type { DailyCheckReceipt } from "../../shared/contracts/checks.ts";
import type { FieldKit } from "../../shared/contracts/fleet.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import type { CheckedMachine } from "../../shared/rules/daily-check.ts";
import { beginWalk, bodyOf, judge, stationsOf, type Walk, withFound } from "../../src/web/walk/walk.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { chainMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
const machines: string[] = [];
let farMachine: string;
beforeAll(async () => {
  for (let count = 0; count < 3; count += 1) machines.push(await addTestMachine(app, { inspected: count < 2 }));
  farMachine = await addTestMachine(app, { depotId: app.cast.farDepotId });
});

const kitOf = async (who: string, query: object = {}): Promise<FieldKit> =>
  expectAnswer((await as(who)).get("/v1/field-kit").query(query), 200);

test("a rider takes along the machines of their own depots, page by page, and nothing of who else rode them", async () => {
  const checked = await addTestMachine(app);
  machines.push(checked);
  await expectAnswer((await as("R002")).post("/v1/daily-checks").send(nilCheckOf(app, checked)), 201);
  const found: string[] = [];
  let cursor: string | null = null;
  do {
    const page: FieldKit = await kitOf("R001", { limit: 2, ...(cursor === null ? {} : { cursor }) });
    found.push(...page.items.map(({ id }) => id));
    expect(page.models.length).toBe(1);
    const ridden = page.items.flatMap(({ state }) => state.clearances.map(({ riderId }) => riderId));
    expect(ridden.filter((riderId) => riderId !== app.cast.staffId("R001"))).toEqual([]);
    cursor = page.nextCursor;
  } while (cursor !== null);
  expect(found).toEqual(expect.arrayContaining(machines));
  expect(new Set(found).size).toBe(found.length);
  expect(found).not.toContain(farMachine);
  const own = (await kitOf("R002")).items.find(({ id }) => id === checked);
  expect(own?.state.clearances.length).toBe(1);
  await expectAnswer((await as("R001")).get("/v1/field-kit").query({ depotId: app.cast.farDepotId }), 403, "other-depot");
  await expectAnswer((await as("F001")).get("/v1/field-kit"), 403, "not-your-role");
});

const items = itemsFor(chainMachine, "daily");
interface Seen {
  readonly observationId: string;
  readonly words: boolean;
  /** put right on the spot, and how much of the right pressure is there after it; left out: not put right */
  readonly putRight?: number | undefined;
}
const observations = items.flatMap((item) => item.observations);
const findings: fc.Arbitrary<Seen[]> = fc.array(
  fc.record({
    observationId: fc.constantFrom(...observations.map(({ id }) => id)),
    words: fc.boolean(),
    putRight: fc.option(fc.constantFrom(0.5, 0.8, 1, 1.3), { nil: undefined }),
  }),
  { maxLength: 3 },
);
/** One that is seen for sure, so that each answer is given whatever chance draws. */
const seenOf = (category: string): Seen[] => [
  { observationId: observations.find((one) => one.category === category)?.id ?? "", words: false },
];

test("whatever is seen, on whatever machine, the phone says what the service says", async () => {
  const said = new Set<string>();
  await fc.assert(
    fc.asyncProperty(findings, fc.nat({ max: 2 }), fc.nat({ max: 3 }), fc.boolean(), async (seen, at, days, mend) => {
      app.context.clock.advance(days * 86_400_000 + 3_600_000);
      const machineId = machines[at] ?? "";
      if (mend) await putRight(machineId);
      const bundle = await kitOf("R001");
      const machine = bundle.items.find(({ id }) => id === machineId);
      const model = bundle.models.find(({ id }) => id === machine?.modelId);
      if (!machine || !model) throw new Error("the machine is in the kit");
      const checked: CheckedMachine = {
        ...{ machineId, state: machine.state, features: model.features, handbook: model.handbook },
        ...{ engineCc: model.engineCc, ruleSet: machine.ruleSet },
        depotRules: { timeZone: machine.timeZone, policy: bundle.policy },
      };
      let walk: Walk = beginWalk(randomUUID(), app.cast.staffId("R001"), machineId, app.context.clock.now());
      walk = { ...walk, spentMs: 61_000, dayItemWell: true, done: stationsOf(model.features).map(({ id }) => id) };
      for (const { observationId, words, putRight: share } of seen) {
        const itemId = observationId.split(".")[0] ?? "";
        const after = share === undefined ? {} : { putRight: true, reading: { value: Math.round(200 * share), unit: "kPa" as const } };
        walk = withFound(walk, itemId, { observationIds: [observationId], note: words ? "heard it" : "", photoIds: [], ...after });
      }
      const now = app.context.clock.now();
      const body = bodyOf(walk, checked, now);
      const onPhone = judge(checked, body, { staffId: app.cast.staffId("R001"), licenceClass: null }, now);
      const receipt: DailyCheckReceipt = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), 201);
      if (onPhone.refused) throw new Error("a whole walk is not refused");
      const { clearance } = receipt;
      expect([onPhone.clearance.decision, onPhone.clearance.validUntil]).toEqual([clearance.decision, clearance.validUntil]);
      expect(onPhone.clearance.reasons.map(({ code }) => code)).toEqual(clearance.reasons.map(({ code }) => code));
      said.add(clearance.decision);
    }),
    {
      numRuns: 40,
      endOnFailure: true,
      examples: [
        [[], 0, 0, true],
        [seenOf("minor"), 0, 0, true],
        [[{ observationId: "rear-tyre-pressure.a-little-soft", words: false, putRight: 1 }], 0, 0, true],
        [[{ observationId: "rear-tyre-pressure.a-little-soft", words: false, putRight: 0.5 }], 0, 0, true],
        [seenOf("dangerous"), 0, 0, true],
      ],
    },
  );
  expect([...said].sort()).toEqual(["do-not-ride", "ride", "ride-with-defects"]);
});

/** Everything open on the machine is repaired and signed off, as far as that goes, and it is inspected. */
async function putRight(machineId: string): Promise<void> {
  const { items: open } = await expectAnswer((await as("F001")).get("/v1/defects").query({ machineId, status: "open" }), 200);
  for (const { id } of open as { id: string }[]) {
    await (await as("M001")).post(`/v1/defects/${id}/repairs`).send(repairOf(app));
    await (await as("M002")).post(`/v1/defects/${id}/sign-off`).send({ id: randomUUID(), statement: "Gone" });
  }
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
}

test("goes out compressed to who takes it so, and as it is to who does not", async () => {
  const { accessToken } = await app.tokensOf("R001");
  const ask = (encoding: string) =>
    app.app.inject({ url: "/v1/field-kit", headers: { authorization: `Bearer ${accessToken}`, "accept-encoding": encoding } });
  const [plain, small] = [await ask("identity"), await ask("gzip, br")];
  expect([plain.headers["content-encoding"], small.headers["content-encoding"]]).toEqual([undefined, "gzip"]);
  expect(small.rawPayload.length).toBeLessThan(plain.rawPayload.length / 2);
  expect(JSON.parse(gunzipSync(small.rawPayload).toString()).items).toEqual(plain.json().items);
});

test("since a moment it answers what has changed, and nothing else", async () => {
  const [first = "", second = ""] = machines;
  app.context.clock.advance(60_000);
  const before = await kitOf("R001");
  app.context.clock.advance(60_000);
  await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, second, "horn.weak")), 201);
  app.context.clock.advance(60_000);
  const since = await kitOf("R001", { since: before.at });
  expect(since.items.map(({ id }) => id)).toEqual([second]);
  expect(since.at > before.at).toBe(true);
  expect((await kitOf("R001", { since: since.at })).items).toEqual([]);
  await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, first, "horn.weak")), 201);
  await expectAnswer((await as("R001")).get("/v1/field-kit").query({ since: before.at, depotId: app.cast.farDepotId }), 403, "other-depot");
});

test("of each machine it tells who else checked it today, what was put right since it was last cleared and by whom, and who ended its clearances", async () => {
  const machineId = await addTestMachine(app);
  const latelyFor = async (who: string) => (await kitOf(who, { machineId })).items[0]?.lately;
  expect(await latelyFor("R001")).toEqual({ checkedToday: null, putRight: [], groundedBy: null });
  const check = await expectAnswer((await as("R002")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  expect((await latelyFor("R001"))?.checkedToday).toEqual({ at: check.check.performedAt, decision: "ride" });
  expect((await latelyFor("R002"))?.checkedToday).toBeNull();
  app.context.clock.advance(60_000);
  const { defect } = await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "horn.silent")), 201);
  expect([(await latelyFor("R001"))?.groundedBy, (await latelyFor("R002"))?.groundedBy]).toEqual(["somebody-else", "you"]);
  app.context.clock.advance(60_000);

  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
  await expectAnswer((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send({ id: randomUUID(), statement: "Gone" }), 201);
  const closedAt = app.context.clock.now().toISOString();
  expect((await latelyFor("R001"))?.putRight).toEqual([{ itemId: "horn", how: "signed-off", at: closedAt, by: "Person M002" }]);
  app.context.clock.advance(60_000);
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  expect((await latelyFor("R002"))?.putRight).toEqual([]);
  app.context.clock.advance(86_400_000);
  expect(await latelyFor("R001")).toEqual({ checkedToday: null, putRight: [], groundedBy: null });
});

test("a rider takes along what they were given to ride, from today on and at their depots: their own line and nobody else's", async () => {
  const [mine = "", other = ""] = machines;
  const today = app.context.clock.now().toISOString().slice(0, 10);
  const tomorrow = addDays(today, 1);
  const keep = async (depotId: string, day: string, lines: readonly [string, string][]) =>
    expectAnswer(
      (await as("F001"))
        .put(`/v1/allocations/${depotId}/${day}`)
        .send({ allocations: lines.map(([who, machineId]) => ({ staffId: app.cast.staffId(who), machineId })) }),
      200,
    );
  const { homeDepotId } = app.cast;
  await keep(homeDepotId, today, [
    ["R001", mine],
    ["R002", other],
  ]);
  const { keptAt } = await keep(homeDepotId, tomorrow, [["R001", other]]);
  const ridesOf = async (who: string, query: object = {}) => (await kitOf(who, query)).rides;
  const days = async (who: string) => (await ridesOf(who)).map(({ day, machineId }) => [day, machineId]);
  expect(await days("R001")).toEqual([
    [today, mine],
    [tomorrow, other],
  ]);
  expect(await days("R002")).toEqual([[today, other]]);
  expect(await days("R101")).toEqual([]);
  expect((await ridesOf("R001", { limit: 1, since: keptAt })).at(-1)).toMatchObject({
    depotId: homeDepotId,
    timeZone: "Europe/London",
    keptAt,
  });
  app.context.clock.advance(86_400_000);
  expect(await days("R001")).toEqual([[tomorrow, other]]);
});
