// One machine whose stored state cannot be read is one grounded machine on every door, never a list that fails; nobody rides it,
// and the operator's command makes the state anew.
import fc from "fast-check";
import { pino } from "pino";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import type { WorkPlan } from "../../shared/contracts/planning.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { compareAll, mendState, noteUnjudged } from "../../src/acts/index.ts";
import { readState } from "../../src/acts/stored-state.ts";
import { allRoutes } from "../../src/rooms.ts";
import { boardOf, onBoard } from "../support/acts.ts";
import { type EveryRoute, openEveryRoute } from "../support/every-route.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";

let context: EveryRoute;
let machineId: string;
let sound: string;
/** The state of the machine as it was written, and its history. */
let whole: unknown;
const rows = <Row>(sql: string, ...values: unknown[]): Promise<Row[]> => context.app.context.db.rows<Row>(sql, values);

const setState = (state: unknown) =>
  rows("UPDATE machine SET state = $2::text::jsonb WHERE id = $1::text::uuid", machineId, JSON.stringify(state));
/** As a fault of the service would leave it: past what keeps the history as it is. */
async function setHistory(state: unknown): Promise<void> {
  const trigger = (what: string) => rows(`ALTER TABLE machine_state_history ${what} TRIGGER machine_state_history_is_append_only`);
  await trigger("DISABLE");
  await rows(
    "UPDATE machine_state_history SET state = $2::text::jsonb WHERE machine_id = $1::text::uuid",
    machineId,
    JSON.stringify(state),
  );
  await trigger("ENABLE");
}
const stateNow = async (): Promise<unknown> =>
  (await rows<{ state: unknown }>("SELECT state FROM machine WHERE id = $1::text::uuid", machineId))[0]?.state;
const mend = () => mendState(context.app.context.db, machineId);

beforeAll(async () => {
  context = await openEveryRoute();
  machineId = context.machineId;
  sound = await addTestMachine(context.app);
  await (await context.as("M001")).post("/v1/weekly-inspections").send(inspectionOf(context.app, sound)).expect(201);
  whole = await stateNow();
});
afterAll(() => context.app.close());

const broken: readonly (readonly [string, (state: Record<string, unknown>) => unknown])[] = [
  ["nothing at all", () => null],
  ["a word", () => "fit"],
  ["a list", () => []],
  ["an object with nothing in it", () => ({})],
  ["no list of defects", (state) => ({ ...state, defects: { one: 1 } })],
  ["a defect that is none", (state) => ({ ...state, defects: [null, 7, { category: "major" }] })],
  [
    "a category that there is not",
    (state) => ({ ...state, defects: (state["defects"] as object[]).map((one) => ({ ...one, category: "odd" })) }),
  ],
  ["an inspection at no time", (state) => ({ ...state, lastInspectionAt: "last week" })],
  ["papers until no day", (state) => ({ ...state, papers: [{ kind: "insurance", validTo: "soon" }] })],
  ["an odometer in words, written at no time", (state) => ({ ...state, odometerKm: "many", odometerAt: 5, recordedAt: "once" })],
];

// Every door is asked of these; of the others, what tells a machine.
const asked = ["nothing at all", "a defect that is none", "a category that there is not", "an odometer in words, written at no time"];

describe.each(broken)("a state that is %s", (what, breakIt) => {
  beforeEach(async () => {
    const state = breakIt(whole as Record<string, unknown>);
    await setState(state);
    await setHistory(state);
  });
  afterEach(async () => {
    await setState(whole);
    await mend();
  });

  test.runIf(asked.includes(what))("is refused by no door that reads", async () => {
    const period = { from: "2026-07-01", to: "2026-07-13", month: "2026-07", depotId: context.app.cast.homeDepotId };
    const answered: string[] = [];
    for (const definition of allRoutes.filter((one) => one.method === "GET" && !one.path.endsWith("/events"))) {
      const client = await context.callerOf(definition);
      const keys = Object.keys((definition.query as { shape?: object } | undefined)?.shape ?? {});
      const query = Object.fromEntries(
        Object.entries({ ...period, ...(definition.operationId === "checkSheet" ? { kind: "daily" } : {}) }).filter(([key]) =>
          keys.includes(key),
        ),
      );
      for (const one of keys.includes("at") ? [query, { ...query, at: context.app.context.clock.now().toISOString() }] : [query]) {
        const { status, text } = await context.call(client, definition).query(one);
        expect(status, `${definition.operationId} ${JSON.stringify(one)}: ${text}`).toBeLessThan(500);
        if (status === 200) answered.push(definition.operationId);
      }
    }
    const wanted = [
      ...["readiness", "listMachines", "showMachine", "fieldKit", "workPlan", "machineForecast", "listDefects", "showDefect", "checkSheet"],
      ...["defectRates", "controlCharts", "componentLife", "machineRisk", "checkHonesty", "monthRecords", "showCompleteness"],
      ...[
        "fleetRoadworthiness",
        "machineRoadworthiness",
        "defectReport",
        "defectSummary",
        "fleetReview",
        "blankSheet",
        "machineNotice",
        "machineLabels",
      ],
      ...["dailyCheckReport", "weeklyInspectionReport"],
    ];
    expect(wanted.filter((one) => !answered.includes(one))).toEqual([]);
  });

  test("stands as grounded with its reason on the board, now and then, and beside it everything is as it was", async () => {
    for (const at of [{}, { at: context.app.context.clock.now().toISOString() }]) {
      const line = await onBoard(context.as, machineId, at);
      expect([line.standing, line.reasons.map(({ code }) => code)]).toEqual(["grounded", ["cannot-be-judged"]]);
      expect((await onBoard(context.as, sound, at)).standing).toBe("unchecked");
      // The others that are grounded fell, and went to another workshop: every route has its sample.
      expect((await boardOf(context.as, at)).totals).toMatchObject({ grounded: 3, unchecked: 1 });
    }
  });

  test("is said in the list, in what a phone takes along, in the plan and in the figures, and gives no machine to anybody", async () => {
    const manager = await context.as("F001");
    const rider = await context.as("R001");
    const depotId = context.app.cast.homeDepotId;
    const shown = (await manager.get(`/v1/machines/${machineId}`).expect(200)).body;
    expect(shown).toMatchObject({ standing: "grounded", yourClearance: null });
    const listed = (await manager.get("/v1/machines").query({ standing: "grounded" }).expect(200)).body.items;
    expect(listed.map(({ id }: { id: string }) => id)).toContain(machineId);
    expect(listed.map(({ id }: { id: string }) => id)).not.toContain(sound);
    const kit = (await rider.get("/v1/field-kit").query({ since: context.app.context.clock.now().toISOString() }).expect(200)).body;
    const carried = kit.items.find(({ id }: { id: string }) => id === machineId)?.state;
    if (carried) expect(carried.cannotBeJudged).toBe(true);
    const plan = (await manager.get("/v1/readiness/plan").query({ depotId }).expect(200)).body as WorkPlan;
    expect(plan.days[0]?.jobs.filter((job) => job.machineId === machineId)).toMatchObject([{ kind: "cannot-be-judged", hours: 0 }]);
    const day = context.app.context.clock.now().toISOString().slice(0, 10);
    const body = { depotId, day, riders: [{ staffId: context.app.cast.staffId("R001") }] };
    const given = (await manager.post("/v1/readiness/allocation").send(body).expect(200)).body;
    expect(given).toMatchObject({ readyMachines: 1, allocations: [{ machineId: sound }] });
  });

  test("raises the alarm in the figures of the service", async () => {
    await boardOf(context.as);
    expect((await context.app.anyone.get("/metrics").expect(200)).text).toContain("\nferrule_machines_unjudged 1\n");
  });

  test("is made anew from the records, with its past", async () => {
    const mended = await mend();
    expect(mended).toMatchObject({ state: true, historyLeft: null });
    expect(mended?.history).toBeGreaterThan(0);
    expect(await stateNow()).toEqual(whole);
    for await (const { differences } of compareAll(context.app.context.db)) expect(differences).toEqual([]);
    expect((await onBoard(context.as, machineId)).reasons.map(({ code }) => code)).not.toContain("cannot-be-judged");
    expect((await context.app.anyone.get("/metrics").expect(200)).text).toContain("\nferrule_machines_unjudged 0\n");
  });
});

test("the log says it once for each machine, with its id, until it can be read again", () => {
  const said: object[] = [];
  const log = pino({ level: "error" }, { write: (line: string) => void said.push(JSON.parse(line)) });
  const about = { acts: { unjudged: new Set<string>() }, log };
  const good = { id: "1", state: readState(whole) };
  const bad = { id: "2", state: readState(null) };
  for (const machines of [[good, bad], [bad], [{ ...good, id: "2" }], [bad]]) noteUnjudged(about, machines);
  expect(said).toMatchObject([{ machineId: "2" }, { machineId: "2" }]);
});

test("whatever stands in a state, the rules say something: what they say is grounded where it could not be read", () => {
  const places: (readonly (string | number)[])[] = [];
  const walk = (value: unknown, path: readonly (string | number)[]): void => {
    places.push(path);
    if (typeof value === "object" && value !== null) for (const [key, one] of Object.entries(value)) walk(one, [...path, key]);
  };
  const full = {
    ...(whole as object),
    withdrawn: { since: "2026-07-01T00:00:00.000Z", reason: "sold" },
    papers: [
      {
        kind: "insurance",
        validFrom: "2026-01-01",
        validTo: "2026-12-31",
        gaps: [{ after: "2026-02-01", before: "2026-03-01" }],
        failed: { since: "2026-04-01" },
      },
    ],
    clearances: [
      { checkId: "1", riderId: "2", decision: "ride", performedAt: "2026-07-13T04:00:00.000Z", validUntil: "2026-07-13T14:00:00.000Z" },
    ],
  };
  walk(full, []);
  fc.assert(
    fc.property(fc.constantFrom(...places), fc.jsonValue(), (path, junk) => {
      const copy = { root: structuredClone(full) as unknown };
      let at = copy as unknown as Record<string | number, unknown>;
      for (const key of ["root", ...path].slice(0, -1)) at = at[key] as Record<string | number, unknown>;
      at[path.at(-1) ?? "root"] = junk;
      const state = readState(copy.root);
      const { standing, reasons } = standingAt(state, new Date("2026-07-13T05:00:00.000Z"), {
        timeZone: "Europe/London",
        policy: defaultPolicy,
      });
      if (state.cannotBeJudged) expect([standing, reasons[0]?.code]).toEqual(["grounded", "cannot-be-judged"]);
    }),
    { numRuns: 3000 },
  );
});
