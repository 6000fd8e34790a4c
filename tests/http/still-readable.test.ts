// Whatever somebody reports or asks for, every page and every paper still answers: one odd report must not darken them for all.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { type EveryRoute, openEveryRoute } from "../support/every-route.ts";
import { addTestMachine, checkFinding } from "../support/sheets.ts";

let every: EveryRoute;
/** of each kind of record, by the first part of its address: ids of what is odd */
let ids: Record<string, string[]>;

const unknownItems = ["sidecar-mirror", "constructor", "__proto__", "item.horn.name", "x".repeat(60)];

beforeAll(async () => {
  every = await openEveryRoute();
  const { app, as } = every;
  const rider = await as("R001");
  const manager = await as("F001");
  const machineId = await addTestMachine(app, { mark: "ODD1" });
  const step = () => app.context.clock.advance(60_000);
  const seen = new Set<string>();
  for (const itemId of unknownItems) {
    for (const changes of [
      { observationIds: [], itemId, note: "It rattles" },
      { observationIds: [`${itemId}.rattles`], itemId },
    ]) {
      step();
      const { defect } = await expectAnswer(rider.post("/v1/defects").send(reportOf(app, machineId, "x", changes)), 201);
      seen.add(defect.id);
    }
  }
  // The first goes through its course, the second turns out to be none, the third is re-graded and deferred.
  const defects = [...seen];
  expect(defects).toHaveLength(unknownItems.length);
  const [closed, none, lighter] = defects as [string, string, string];
  const mechanic = await as("M001");
  step();
  await expectAnswer(mechanic.post(`/v1/defects/${closed}/repairs`).send(repairOf(app)), 201);
  step();
  await expectAnswer((await as("M002")).post(`/v1/defects/${closed}/sign-off`).send({ id: randomUUID() }), 201);
  await expectAnswer(mechanic.post(`/v1/defects/${none}/not-found`).send({ id: randomUUID(), reason: "Nothing" }), 201);
  await expectAnswer(
    mechanic.post(`/v1/defects/${lighter}/regrades`).send({ id: randomUUID(), category: "minor", reason: "Only a rattle" }),
    201,
  );
  step();
  const check = checkFinding(app, machineId, "horn.weak");
  const odd = { itemId: "sidecar-mirror", result: "defect", observationIds: ["sidecar-mirror.rattles"], note: "Rattles" };
  await expectAnswer(rider.post("/v1/daily-checks").send({ ...check, answers: [...check.answers, odd] }), 201);
  // The first and the last day that a contract takes.
  const papers: string[] = [];
  for (const [validFrom, validTo] of [
    ["1900-01-01", "9999-12-31"],
    ["9999-12-31", "9999-12-31"],
    ["1900-01-01", "1900-01-01"],
  ]) {
    const paper = { id: randomUUID(), kind: "insurance", number: "1", validFrom, validTo };
    papers.push((await expectAnswer(manager.post(`/v1/machines/${machineId}/papers`).send(paper), 201)).id);
  }
  const others: string[] = [];
  for (const inServiceFrom of ["1900-01-01", "9999-12-31"]) {
    const body = { ...every.samples()["addMachine"], registrationMark: `ODD${inServiceFrom.slice(0, 4)}`, inServiceFrom };
    others.push((await expectAnswer(manager.post("/v1/machines").send(body), 201)).id);
  }
  const pack = await expectAnswer((await as("A001")).post("/v1/audit-packs").send({ month: "2026-07" }), 202);
  ids = {
    machines: [machineId, ...others],
    defects,
    records: defects,
    "daily-checks": [check.id],
    "audit-packs": [pack.id],
    papers,
    // The address of a problem ends in its code.
    ":code": ["not-found"],
  };
});
afterAll(() => every.app.close());

/** A pack is made in its own time, of what `monthRecords` gives; drafts are met where they are made. */
const elsewhere = [
  ...["downloadAuditPack", "showInspectionDraft", "showWeeklyInspection", "showPhoto"],
  ...["recordProof", "checkpointConsistency", "checkpointTimeStamp"],
];

const reading = allRoutes.filter(({ method, answers, operationId }) => {
  const [answer] = Object.values(answers);
  return (
    method === "GET" && !elsewhere.includes(operationId) && !(answer && "mediaType" in answer && answer.mediaType === "text/event-stream")
  );
});

/** What is asked for where a call can't be made without. */
const needed: Readonly<Record<string, Record<string, string>>> = {
  checkSheet: { kind: "daily" },
  blankSheet: { kind: "weekly" },
  monthRecords: { month: "2026-07" },
  fleetReview: { month: "2026-07" },
  showCompleteness: { month: "2026-07" },
};

const first = ({ path }: Route): string => path.split("/")[2] ?? "";

/** Whether the call has these fields in its query. */
function takes({ query }: Route, asked: object): boolean {
  const { shape = {} } = (query ?? {}) as { readonly shape?: object };
  return Object.keys(asked).every((field) => Object.hasOwn(shape, field));
}

async function ask(definition: Route, id: string | undefined, query: object) {
  const client = await every.callerOf(definition);
  return every
    .call(client, definition, id)
    .query({
      ...needed[definition.operationId],
      ...(["showCompleteness", "workPlan"].includes(definition.operationId) ? { depotId: every.app.cast.homeDepotId } : {}),
      ...query,
    })
    .buffer(true);
}

test("a defect at an item that is on no list leaves every reading call and every paper answering", async () => {
  const failed: string[] = [];
  for (const definition of reading) {
    for (const id of ids[first(definition)] ?? [undefined]) {
      for (const format of definition.operationId === "monthRecords" ? ["ndjson", "csv"] : [undefined]) {
        const answer = await ask(definition, id, format ? { format } : {});
        if (answer.status >= 400) failed.push(`${definition.operationId} ${id ?? ""} ${answer.status} ${answer.body?.code}`);
      }
    }
  }
  expect(failed).toEqual([]);
});

test("the days asked for may be the first and the last that a contract takes, and the answer is one or says why not", async () => {
  const failed: string[] = [];
  let asked = 0;
  const days = ["1900-01-01", "1900-01-02", "1901-12-31", "9999-12-31"];
  const odd = [
    ...days.flatMap((day) => [{ to: day }, { from: day }, { from: day, to: day }, { on: day }, { day }, { month: day.slice(0, 7) }]),
    ...days.map((day) => ({ at: `${day}T00:00:00Z` })),
  ];
  for (const definition of reading) {
    for (const query of odd) {
      if (!takes(definition, query)) continue;
      asked += 1;
      const answer = await ask(definition, ids[first(definition)]?.[0], query);
      if (answer.status >= 500) failed.push(`${definition.operationId} ${JSON.stringify(query)} ${answer.status}`);
    }
  }
  expect(failed).toEqual([]);
  expect(asked).toBeGreaterThan(80);
});
