// A defect that waits for a part, and notes on defects, over HTTP: who may, what is refused, and until when the machine is ridden.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { expectAnswer, onBoard, repairOf, reportOf, throughItsCourse } from "../support/acts.ts";
import { addTestMachine, inspectionFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);
const pass = (days: number) => app.context.clock.advance(days * 86_400_000);
const dayAfter = (days: number) => new Date(app.context.clock.now().getTime() + days * 86_400_000).toISOString().slice(0, 10);

const post = async (who: string, path: string, body: object, status: number, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const report = async (machineId: string, seen: string) =>
  (await post("R001", "/v1/defects", reportOf(app, machineId, seen), 201)).defect.id as string;
const act = (who: string, defectId: string, what: string, body: object, status = 201, code?: string) =>
  post(who, `/v1/defects/${defectId}/${what}`, { id: randomUUID(), ...body }, status, code);
const show = async (defectId: string, who = "M001") => expectAnswer((await as(who)).get(`/v1/defects/${defectId}`), 200);
const wait = (days: number, part = "rear tyre") => ({
  part,
  reason: "Worn evenly, no cords to be seen",
  expectedDay: dayAfter(days),
});
const decisionOf = async (machineId: string): Promise<string> =>
  (await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId), 201)).clearance.decision;
const inspect = async (machineId: string) => {
  tick();
  await post("M001", "/v1/weekly-inspections", inspectionFinding(app, machineId, "horn-and-switches.weak"), 201);
};

describe("a minor defect that waits for a part", () => {
  test("is ridden past its own day and past an inspection until the part is expected, and grounds the day after", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    const receipt = await act("M001", id, "waiting", wait(10, "horn"));
    expect(receipt.defect).toMatchObject({
      status: "open",
      category: "minor",
      dueDay: dayAfter(10),
    });
    expect(receipt.machine.reasons).toContainEqual(
      expect.objectContaining({
        code: "minor-defect",
        day: dayAfter(10),
        expectedDay: dayAfter(10),
        part: "horn",
      }),
    );
    expect(await show(id)).toMatchObject({
      waiting: { part: "horn", expectedDay: dayAfter(10) },
      grounds: false,
    });
    const expectedDay = dayAfter(10);
    pass(6);
    await inspect(machineId);
    expect(await show(id)).toMatchObject({
      dueDay: expectedDay,
      sightings: 2,
      waiting: { part: "horn" },
    });
    pass(4);
    expect(await decisionOf(machineId)).toBe("ride-with-defects");
    pass(1);
    expect(await decisionOf(machineId)).toBe("do-not-ride");
    expect(await onBoard(as, machineId)).toMatchObject({
      standing: "grounded",
      reasons: [{ code: "minor-defect-overdue", part: "horn" }, {}],
    });
    expect((await show(id)).grounds).toBe(true);
  });

  test("is named on the board with the part and the day, and for who rides it", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    await act("M001", id, "waiting", wait(3, "horn of 12 V"));
    const { reasons } = await onBoard(as, machineId);
    expect(reasons.map(({ text }) => text)).toContain(
      `Minor defect, to be put right by ${dayAfter(7)}: Horn; waiting for horn of 12 V, expected ${dayAfter(3)}`,
    );
    const check = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId), 201);
    expect(check.clearance).toMatchObject({
      decision: "ride-with-defects",
      reasons: [{ part: "horn of 12 V", expectedDay: dayAfter(3) }],
    });
  });

  test("is planned no sooner than its part is expected, and the plan names the part", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    await act("M001", id, "waiting", wait(9, "horn"));
    const { days } = await expectAnswer(
      (await as("M001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 14 }),
      200,
    );
    const planned = days.flatMap(({ day, jobs }: { day: string; jobs: { defectId?: string }[] }) =>
      jobs.filter(({ defectId }) => defectId === id).map((job) => ({ day, ...job })),
    );
    const text = `Minor defect: Horn; waiting for horn, expected ${dayAfter(9)}`;
    expect(planned).toEqual([
      expect.objectContaining({ kind: "minor-repair", dueDay: dayAfter(9), expectedDay: dayAfter(9), part: "horn", text }),
    ]);
    expect(planned[0].day >= dayAfter(9)).toBe(true);
  });

  test("does not lose days that it has: a part that comes sooner leaves its day as it is", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    expect((await act("M001", id, "waiting", wait(2))).defect.dueDay).toBe(dayAfter(7));
  });

  test("rides again where its day was over, once somebody competent has signed that it waits", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    pass(6);
    await inspect(machineId);
    pass(1);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const receipt = await act("M001", id, "waiting", wait(5));
    expect(receipt.machine.standing).toBe("unchecked");
    expect(await decisionOf(machineId)).toBe("ride-with-defects");
  });

  test("waits no longer once it is repaired, is signed off as any other, and its course tells of the wait", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    await act("M001", id, "waiting", wait(10));
    tick();
    await act("M001", id, "repairs", repairOf(app));
    expect((await show(id)).waiting).toBeNull();
    await act("M002", id, "waiting", wait(10), 409, "already-repaired");
    tick();
    await act("M002", id, "sign-off", {});
    const shown = await show(id);
    expect(shown).toMatchObject({ status: "signed-off", waiting: null });
    expect(shown.course.map(({ kind }: { kind: string }) => kind)).toEqual(["raised", "waiting", "repair", "sign-off"]);
    expect(shown.course[1].data.submitted).toMatchObject({
      part: "rear tyre",
      reason: "Worn evenly, no cords to be seen",
    });
    expect(await decisionOf(machineId)).toBe("ride");
    await act("M001", id, "waiting", wait(1), 409, "defect-closed");
  });

  test("is not let wait a second time, not even after a repair that did not hold", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    await act("M001", id, "waiting", wait(10));
    await act("M002", id, "waiting", wait(12), 409, "waited-already");
    await act("F001", id, "deferral", { untilDay: dayAfter(1), reason: "Later" }, 409, "waited-already");
    tick();
    await act("M001", id, "repairs", repairOf(app));
    tick();
    await report(machineId, "horn.weak");
    expect(await show(id)).toMatchObject({ status: "open", waiting: null });
    await act("M002", id, "waiting", wait(12), 409, "waited-already");
  });
});

test("a grounded machine shows what it waits for and stays grounded; lowered to minor it rides until the part is expected", async () => {
  const machineId = await addTestMachine(app);
  const id = await report(machineId, "horn.silent");
  const receipt = await act("M001", id, "waiting", wait(20, "horn"));
  expect(receipt).toMatchObject({
    defect: { category: "major", dueDay: null },
    machine: { standing: "grounded" },
  });
  expect(await onBoard(as, machineId)).toMatchObject({
    standing: "grounded",
    reasons: [{ code: "grounding-defect", part: "horn", expectedDay: dayAfter(20) }, {}],
  });
  expect(await decisionOf(machineId)).toBe("do-not-ride");
  const lowered = await act("M001", id, "regrades", {
    category: "minor",
    reason: "Loud enough with the engine warm",
  });
  expect(lowered.defect.dueDay).toBe(dayAfter(20));
  expect(await decisionOf(machineId)).toBe("ride-with-defects");
  const worse = await act("M001", id, "regrades", {
    category: "major",
    reason: "Silent again",
  });
  expect(worse).toMatchObject({
    defect: { dueDay: null },
    machine: { standing: "grounded" },
  });
});

describe("what is refused", () => {
  test("riders, managers and auditors let nothing wait, and no mechanic without the item's competence does", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    for (const who of ["R001", "F001", "A001"]) await act(who, id, "waiting", wait(3), 403, "not-your-role");
    await act("M003", id, "waiting", wait(3), 403, "competence-missing");
    await act("M001", randomUUID(), "waiting", wait(3), 404, "not-found");
  });

  test("a day that is over, one past the policy's days, and a wait without its part or its reason", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    await act("M001", id, "waiting", wait(-1), 422, "part-day-over");
    await act("M001", id, "waiting", wait(29), 422, "wait-too-long");
    for (const missing of ["part", "reason", "expectedDay"]) {
      await act("M001", id, "waiting", { ...wait(3), [missing]: undefined }, 422, "not-valid");
    }
    await act("M001", id, "waiting", wait(28));
  });

  test("more days than the firm allows, which are 28 at most", async () => {
    const manager = await as("F001");
    await expectAnswer(manager.patch("/v1/policy").send({ waitForPartDays: 29 }), 422, "not-valid");
    await expectAnswer(manager.patch("/v1/policy").send({ waitForPartDays: 4 }), 200);
    const id = await report(await addTestMachine(app), "horn.weak");
    await act("M001", id, "waiting", wait(5), 422, "wait-too-long");
    await act("M001", id, "waiting", wait(4));
    await expectAnswer(manager.patch("/v1/policy").send({ waitForPartDays: 28 }), 200);
  });

  test("a note by a rider or an auditor, and one that says nothing", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    for (const who of ["R001", "A001"]) await act(who, id, "notes", { note: "Ordered" }, 403, "not-your-role");
    await act("M003", id, "notes", { note: " " }, 422, "not-valid");
    await act("M001", randomUUID(), "notes", { note: "Ordered" }, 404, "not-found");
  });
});

describe("a note", () => {
  test("goes to an open defect and to a closed one, and changes nothing of it or its machine", async () => {
    const machineId = await addTestMachine(app);
    const open = await report(machineId, "horn.silent");
    tick();
    const receipt = await act("F001", open, "notes", {
      note: "Ordered by telephone",
    });
    expect(receipt).toMatchObject({
      defect: { id: open, status: "open", category: "major" },
      machine: { standing: "grounded" },
    });
    const closed = await throughItsCourse(app, as, machineId, "lamps.headlamp-out");
    const before = await show(closed);
    tick();
    expect((await act("M003", closed, "notes", { note: "The invoice came later" })).defect).toMatchObject({ status: "signed-off" });
    const { course, ...after } = await show(closed);
    expect({ ...after, course: course.slice(0, -1) }).toEqual(before);
    expect(course.at(-1)).toMatchObject({
      ...{
        kind: "note",
        sentence: "A note was added to the defect",
        staffId: app.cast.staffId("M003"),
      },
      data: { submitted: { note: "The invoice came later" } },
    });
  });
});

test("a repeated wait and a repeated note answer 200 with the receipt byte for byte, and their ids stand for nothing else", async () => {
  const id = await report(await addTestMachine(app), "horn.weak");
  for (const [what, body, other] of [
    ["waiting", { id: randomUUID(), ...wait(9) }, wait(8)],
    ["notes", { id: randomUUID(), note: "Ordered" }, { note: "Ordered twice" }],
  ] as const) {
    const address = `/v1/defects/${id}/${what}`;
    const first = await (await as("M001")).post(address).send(body);
    tick();
    const again = await (await as("M001")).post(address).send(body);
    expect([first.status, again.status, again.text]).toEqual([201, 200, first.text]);
    await act("M001", id, what, { ...body, ...other }, 422, "id-reused");
    await act("M002", id, what, body, 422, "id-reused");
    await act("M001", id, "deferral", { id: body.id, untilDay: dayAfter(1), reason: "No" }, 422, "id-reused");
  }
  for (const [what, body] of [
    ["waiting", { id: randomUUID(), ...wait(9) }],
    ["notes", { id: randomUUID(), note: "On its way" }],
  ] as const) {
    app.context.acts.inProgress.add(body.id);
    await act("M001", id, what, body, 409, "id-in-progress");
    app.context.acts.inProgress.delete(body.id);
  }
});
