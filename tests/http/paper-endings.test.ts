// A paper is ended by an act: what counts afterwards, on which day, who is told, and what the records say for ever.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { Paper } from "../../shared/contracts/papers.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { boardOf, expectAnswer, onBoard } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { chainOf, expectRefused } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const noSuchId = "01980000-0000-7000-8000-000000000000";
// The clock stands at 2026-07-13 in London when this file begins; each test looks at days from there.
const today = () => app.context.clock.now().toISOString().slice(0, 10);
const insurance = { kind: "insurance", number: "POL 77/1", validFrom: "2026-01-01", validTo: "2026-12-31" };
const mot = { kind: "roadworthiness-test", number: "T 1", validFrom: "2026-01-01", validTo: "2026-12-31" };

const add = async (machineId: string, paper: object): Promise<Paper> =>
  expectAnswer((await as("F001")).post(`/v1/machines/${machineId}/papers`).send(paper), 201);
const end = async (paperId: string, body: object, who = "F001") => (await as(who)).post(`/v1/papers/${paperId}/ending`).send(body);
const listed = async (machineId: string, who = "F001"): Promise<Paper[]> =>
  (await expectAnswer((await as(who)).get(`/v1/machines/${machineId}/papers`), 200)).items;
const cleared = async (machineId: string): Promise<string> =>
  (await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201)).clearance.decision;
const agrees = async (machineId: string): Promise<void> => expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);

test("a mistyped insurance to 2036 that hides one which ended yesterday: said to be mistaken, the machine stands as papers-expired at once", async () => {
  const machineId = await addTestMachine(app);
  await add(machineId, { ...insurance, validTo: "2026-07-12" });
  const mistyped = await add(machineId, { ...insurance, number: "POL 78/1", validFrom: "2026-07-13", validTo: "2036-07-12" });
  expect(mistyped.warnings.map(({ code }) => code)).toEqual(["unusually-long"]);
  expect(await cleared(machineId)).toBe("ride");
  expect((await onBoard(as, machineId)).standing).toBe("fit");
  const before = app.context.clock.now().toISOString();

  app.context.clock.advance(60_000);
  const { body } = await expectAnswered(await end(mistyped.id, { day: today(), reason: "mistaken", note: "2036 is 2026" }), 201);
  expect(body).toMatchObject({
    ...{ paperId: mistyped.id, machineId, day: today(), reason: "mistaken", note: "2036 is 2026", grounds: false },
    ...{ staffNumber: "F001", clearancesEnded: true, standing: "papers-expired" },
    paper: { id: mistyped.id, lastDay: null, warnings: [] },
  });
  const line = await onBoard(as, machineId);
  expect([line.standing, line.reasons[0]]).toMatchObject([
    "papers-expired",
    { code: "papers-expired", paperKind: "insurance", day: "2026-07-12" },
  ]);
  expect(await cleared(machineId)).toBe("do-not-ride");
  // The board of before stays what was shown then.
  expect((await boardOf(as, { at: before })).machines.find((one) => one.machineId === machineId)?.standing).toBe("fit");
  await agrees(machineId);

  // With the right paper in its place it waits for a new check: the clearance does not come back.
  app.context.clock.advance(60_000);
  await add(machineId, { ...insurance, number: "POL 78/1", validFrom: "2026-07-13", validTo: "2027-07-12" });
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  expect(await cleared(machineId)).toBe("ride");
  await agrees(machineId);
});

test("the list tells each ending with its day, its reason and who recorded it; a rider is not told who", async () => {
  const machineId = await addTestMachine(app);
  const paper = await add(machineId, insurance);
  const other = await add(machineId, { ...insurance, number: "POL 79/1", validTo: "2027-06-30" });
  const { body } = await expectAnswered(await end(paper.id, { day: "2026-08-01", reason: "replaced" }), 201);
  const told = await listed(machineId, "A001");
  expect(told.map(({ id }) => id)).toEqual([other.id, paper.id]);
  const unphotographed = { photos: [], photosAwaited: [] };
  expect(told[0]).toEqual({ ...other, ...unphotographed });
  expect(told[1]).toEqual({ ...paper, ...unphotographed, lastDay: "2026-07-31", ending: body.paper.ending });
  expect(told[1]?.ending).toMatchObject({ reason: "replaced", day: "2026-08-01", staffName: "Person F001", note: null });
  expect((await listed(machineId, "R001"))[1]?.ending).toMatchObject({ reason: "replaced", staffName: null, staffNumber: null });
  // Who works at the bench as well is told, whichever of the two roles stands first.
  await expectAnswer((await as("F001")).patch(`/v1/staff/${app.cast.staffId("R002")}`).send({ roles: ["rider", "mechanic"] }), 200);
  expect((await listed(machineId, "R002"))[1]?.ending).toMatchObject({ staffName: "Person F001" });
});

test("an ending of a day to come counts from that day on, and not before: fit until then, papers-expired from then", async () => {
  const machineId = await addTestMachine(app);
  const paper = await add(machineId, insurance);
  await cleared(machineId);
  const { body } = await expectAnswered(await end(paper.id, { day: "2026-07-15", reason: "cancelled" }), 201);
  expect([body.standing, body.clearancesEnded, body.paper.lastDay]).toEqual(["fit", false, "2026-07-14"]);
  expect((await onBoard(as, machineId)).standing).toBe("fit");
  const plan = await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 7 }), 200);
  const jobs = [...plan.late, ...plan.days.flatMap((one: { jobs: object[] }) => one.jobs)] as {
    machineId: string;
    kind: string;
    dueDay: string;
  }[];
  expect(jobs.filter((job) => job.machineId === machineId && job.kind === "paper").map(({ dueDay }) => dueDay)).toEqual(["2026-07-14"]);

  app.context.clock.advance(86_400_000);
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  app.context.clock.advance(86_400_000);
  const line = await onBoard(as, machineId);
  expect([line.standing, line.reasons[0]?.day]).toEqual(["papers-expired", "2026-07-14"]);
  await agrees(machineId);
});

test("a cancellation of today ends the clearance that runs; one of a paper that another covers ends none", async () => {
  const machineId = await addTestMachine(app);
  const paper = await add(machineId, insurance);
  const second = await add(machineId, { ...insurance, number: "POL 80/1", validTo: "2027-12-31" });
  await cleared(machineId);
  const { body: first } = await expectAnswered(await end(paper.id, { day: today(), reason: "replaced" }), 201);
  expect([first.standing, first.clearancesEnded]).toEqual(["fit", false]);
  expect((await onBoard(as, machineId)).standing).toBe("fit");
  const { body: then } = await expectAnswered(await end(second.id, { day: today(), reason: "cancelled" }), 201);
  expect([then.standing, then.clearancesEnded]).toEqual(["papers-expired", true]);
  await agrees(machineId);
});

describe("a failed test", () => {
  test("grounds at once where the rule set says so, until a test that is passed then or later", async () => {
    const machineId = await addTestMachine(app);
    const paper = await add(machineId, mot);
    await cleared(machineId);
    app.context.clock.advance(60_000);
    const { body } = await expectAnswered(await end(paper.id, { day: today(), reason: "failed", note: "Rear brake" }), 201);
    expect(body).toMatchObject({ grounds: true, standing: "grounded", clearancesEnded: true });
    const line = await onBoard(as, machineId);
    expect(line).toMatchObject({ standing: "grounded", groundedAt: app.context.clock.now().toISOString() });
    expect(line.reasons[0]).toMatchObject({ code: "test-failed", paperKind: "roadworthiness-test", day: today() });
    expect(await cleared(machineId)).toBe("do-not-ride");
    // A phone judges by the same state.
    const kit = await expectAnswer((await as("R001")).get("/v1/field-kit").query({ machineId }), 200);
    expect(kit.items[0].state.papers).toEqual([expect.objectContaining({ failed: { since: today() } })]);

    app.context.clock.advance(60_000);
    const passed = await add(machineId, { ...mot, number: "T 2", validFrom: today(), validTo: "2027-07-14" });
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await agrees(machineId);
    // The pass was a slip of the pen: what failed stands again.
    await expectAnswered(await end(passed.id, { day: today(), reason: "mistaken" }), 201);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    await agrees(machineId);
  });

  test("ends its paper and no more where the rule set does not say so", async () => {
    const manager = await as("F001");
    const depot = await expectAnswer(
      manager.post("/v1/depots").send({ name: `Depot ${randomUUID()}`, timeZone: "America/Chicago", ruleSet: "us-model" }),
      201,
    );
    const machineId = await addTestMachine(app);
    await expectAnswer(manager.patch(`/v1/machines/${machineId}`).send({ depotId: depot.id }), 200);
    const paper = await add(machineId, mot);
    const { body } = await expectAnswered(
      await end(paper.id, { day: localDay(app.context.clock.now(), "America/Chicago"), reason: "failed" }),
      201,
    );
    expect(body).toMatchObject({ grounds: false, standing: "papers-expired" });
    await agrees(machineId);
  });

  test("what a failed test does stands in each rule set, with its source", async () => {
    const { items } = await expectAnswer((await as("R001")).get("/v1/rule-sets"), 200);
    expect(items.map(({ id, failedTest }: { id: string; failedTest: { grounds: boolean } }) => [id, failedTest.grounds])).toEqual([
      ["gb", true],
      ["eu", true],
      ["us-model", false],
    ]);
    for (const { failedTest } of items) expect(failedTest).toMatchObject({ text: expect.any(String), source: { basis: "from-memory" } });
  });
});

describe("sent again, or at the same moment", () => {
  test("with the client's id the same body answers 200 with what was stored, another body is refused", async () => {
    const machineId = await addTestMachine(app);
    const paper = await add(machineId, insurance);
    const body = { id: randomUUID(), day: today(), reason: "cancelled", note: "Sold" };
    const first = await expectAnswered(await end(paper.id, body), 201);
    expect(first.body.id).toBe(body.id);
    const again = await expectAnswered(await end(paper.id, body), 200);
    expect(again.body).toEqual(first.body);
    await expectRefused(app, () => end(paper.id, { ...body, day: "2026-08-01" }), 422, "id-reused");
    expect((await chainOf(app.context.db, machineId)).filter(({ kind }) => kind === "paper-ended")).toHaveLength(1);
  });

  test("a paper that is recorded twice over a bad link is one, and ending it leaves no twin behind that hides what ran out", async () => {
    const machineId = await addTestMachine(app);
    await add(machineId, { ...insurance, validTo: "2026-07-12" });
    const body = { id: randomUUID(), ...insurance, number: "POL 82/1", validFrom: today(), validTo: "2036-07-12" };
    const first = await add(machineId, body);
    expect(first.id).toBe(body.id);
    const path = `/v1/machines/${machineId}/papers`;
    expect(await expectAnswer((await as("F001")).post(path).send(body), 200)).toEqual(first);
    const manager = await as("F001");
    await expectRefused(app, () => manager.post(path).send({ ...body, validTo: "2027-07-12" }), 422, "id-reused");
    const { body: ended } = await expectAnswered(await end(first.id, { day: today(), reason: "mistaken" }), 201);
    expect(ended.standing).toBe("papers-expired");
    await agrees(machineId);
  });

  test("a paper is ended once, also when two managers do so at the same moment", async () => {
    const machineId = await addTestMachine(app);
    const paper = await add(machineId, insurance);
    const answers = await Promise.all([
      end(paper.id, { day: today(), reason: "cancelled" }),
      end(paper.id, { day: today(), reason: "mistaken" }),
      end(paper.id, { day: "2026-08-01", reason: "replaced" }),
    ]);
    expect(answers.map(({ status }) => status).sort((one, other) => one - other)).toEqual([201, 409, 409]);
    await expectRefused(app, () => end(paper.id, { day: today(), reason: "mistaken" }), 409, "paper-ended");
    expect((await chainOf(app.context.db, machineId)).filter(({ kind }) => kind === "paper-ended")).toHaveLength(1);
    await agrees(machineId);
  });

  test("an ending and a new paper at the same moment: whichever comes first, both count", async () => {
    for (let round = 0; round < 4; round += 1) {
      const machineId = await addTestMachine(app);
      const paper = await add(machineId, insurance);
      const [ended] = await Promise.all([
        end(paper.id, { day: today(), reason: "mistaken" }),
        add(machineId, { ...insurance, number: "POL 81/1", validFrom: "2026-07-01" }),
      ]);
      expect(ended.status, ended.text).toBe(201);
      expect((await onBoard(as, machineId)).standing).toBe("unchecked");
      await agrees(machineId);
    }
  });
});

test("what does not fit the paper, is not there or not theirs is refused, and leaves nothing behind", async () => {
  const machineId = await addTestMachine(app);
  const paper = await add(machineId, insurance);
  const cancelled = { day: today(), reason: "cancelled" };
  for (const [changes, code, pointer] of [
    [{ day: "2025-12-31" }, "ending-outside-paper", "/day"],
    [{ day: "2027-01-01" }, "ending-outside-paper", "/day"],
    [{ reason: "failed" }, "not-a-failed-test", "/reason"],
    [{ reason: "lost" }, "not-valid", "/reason"],
    [{ day: 5 }, "not-valid", "/day"],
    [{ note: "" }, "not-valid", "/note"],
    [{ paper: 1 }, "not-valid", "/paper"],
  ] as const) {
    await expectRefused(app, () => end(paper.id, { ...cancelled, ...changes }), 422, code, [pointer]);
  }
  const test = await add(machineId, mot);
  await expectRefused(app, () => end(test.id, { day: "2026-12-01", reason: "failed" }), 422, "not-a-failed-test", ["/day"]);
  await expectRefused(app, () => end(noSuchId, cancelled), 404, "not-found");
  await expectRefused(app, () => end(paper.id, cancelled, "F101"), 403, "other-depot");
  for (const who of ["R001", "M001", "A001"]) await expectRefused(app, () => end(paper.id, cancelled, who), 403, "not-your-role");
  await expectRefused(app, () => app.anyone.post(`/v1/papers/${paper.id}/ending`).send(cancelled), 401, "not-signed-in");
  // A mistake may be noticed at any time, of a paper that has run out as well.
  const old = await add(machineId, { ...insurance, number: "POL 1", validFrom: "2024-01-01", validTo: "2024-12-31" });
  await expectAnswered(await end(old.id, { day: today(), reason: "mistaken" }), 201);
});

test("the act stands in the machine's history and in the month's records, in a sentence that says what was ended and why", async () => {
  const machineId = await addTestMachine(app);
  const paper = await add(machineId, { ...insurance, number: "POL 90/1" });
  await expectAnswered(await end(paper.id, { day: "2026-07-20", reason: "cancelled", note: "Sold" }), 201);
  const [entry] = (await expectAnswer((await as("A001")).get(`/v1/machines/${machineId}/history`), 200)).items;
  expect(entry).toMatchObject({ kind: "paper-ended", sentence: "A paper of the machine was ended", staffNumber: "F001" });
  expect(entry.data).toMatchObject({ paper: { id: paper.id, number: "POL 90/1" }, submitted: { reason: "cancelled", note: "Sold" } });
  const csv = await (await as("A001")).get("/v1/records").query({ month: "2026-07", format: "csv" }).expect(200);
  expect(csv.text).toContain("Insurance POL 90/1, 2026-01-01 to 2026-12-31, counts no longer from 2026-07-20 on: cancelled");
});

async function expectAnswered<Answer extends { status: number; text: string }>(answer: Answer, status: number): Promise<Answer> {
  expect(answer.status, answer.text).toBe(status);
  return answer;
}
