// A machine at another workshop, over HTTP: nobody rides it, everybody sees where it is, and what was done there is signed off here.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { forgetOld } from "../../src/keeping/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { expectAnswer, onBoard, peopleAtHand } from "../support/acts.ts";
import { openTestApp } from "../support/app.ts";
import { plainPicture } from "../support/pictures.ts";
import { expectAgreement } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const day = 24 * 60;
const now = () => app.context.clock.now().toISOString();
const tick = (minutes = 1) => app.context.clock.advance(minutes * minute);
const dayIn = (days: number) => new Date(app.context.clock.now().getTime() + days * day * minute).toISOString().slice(0, 10);
const get = async (path: string, who = "M001") => expectAnswer((await as(who)).get(path), 200);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const outOf = (changes: object = {}) => ({
  id: randomUUID(),
  since: now(),
  workshop: "Harbour Street workshop",
  reason: "The ignition cuts out; nobody here finds why",
  expectedDay: dayIn(3),
  ...changes,
});
const sendOut = async (machineId: string, changes: object = {}, who = "M001", status = 201, code?: string) =>
  post(who, `/v1/machines/${machineId}/outside-work`, outOf(changes), status, code);
const backOf = (changes: object = {}) => ({ id: randomUUID(), returnedAt: now(), ...changes });
const takeBack = async (workId: string, changes: object = {}, who = "M001", status = 201, code?: string) =>
  post(who, `/v1/outside-work/${workId}/return`, backOf(changes), status, code);
const check = async (machineId: string) => (await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId))).clearance;
const codes = (reasons: readonly { code: string }[]) => reasons.map(({ code }) => code);
const isOut = async (machineId: string) => {
  const { outsideWork } = await sendOut(machineId);
  tick();
  return outsideWork.id as string;
};

describe("a machine at another workshop", () => {
  test("that is said to have left before it was in service, or is back from before, is taken and flagged", async () => {
    const machineId = await addTestMachine(app);
    const dayBefore = new Date(app.context.clock.now().getTime() - day * minute).toISOString();
    const out = await sendOut(machineId, { since: dayBefore });
    expect(out.flags).toContain("before-service");
    const back = await takeBack(out.outsideWork.id, { returnedAt: dayBefore });
    expect(back.flags).toContain("before-service");
  });

  test("is ridden by nobody from then on, and board and answers say where it is and when it is expected", async () => {
    const machineId = await addTestMachine(app);
    tick();
    expect((await check(machineId)).decision).toBe("ride");
    tick();
    const body = outOf();
    const { outsideWork, machine } = await post("F001", `/v1/machines/${machineId}/outside-work`, body);
    expect(outsideWork).toMatchObject({
      id: body.id,
      machineId,
      workshop: body.workshop,
      expectedDay: body.expectedDay,
      since: body.since,
    });
    expect(machine).toMatchObject({ standing: "grounded", reasons: [{ code: "away", workshop: body.workshop, workId: body.id }, {}] });
    const line = await onBoard(as, machineId);
    expect(line).toMatchObject({ standing: "grounded", groundedAt: body.since });
    expect(line.reasons[0]).toMatchObject({ code: "away", expectedDay: body.expectedDay });
    expect(line.reasons[0]?.text).toContain(body.workshop);
    tick();
    const refused = await check(machineId);
    expect([refused.decision, codes(refused.reasons)]).toEqual(["do-not-ride", ["away"]]);
    await expectAgreement(app.context);
  });

  test("is late from the day after the one on which it was expected", async () => {
    const machineId = await addTestMachine(app);
    await sendOut(machineId, { expectedDay: dayIn(1) });
    tick(day);
    expect(codes((await onBoard(as, machineId)).reasons)).toContain("away");
    tick(day);
    const [reason] = (await onBoard(as, machineId)).reasons;
    expect([reason?.code, reason?.text.includes("late")]).toEqual(["away-late", true]);
  });

  test("is planned for no sooner than it is back, and given to no rider meanwhile", async () => {
    const mark = `P${randomUUID().slice(0, 7)}`.toUpperCase();
    const machineId = await addTestMachine(app, { mark });
    await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "front-brake-cable.frayed"));
    const backDay = dayIn(3);
    await sendOut(machineId, { expectedDay: backDay });
    const plan = await get(`/v1/readiness/plan?depotId=${app.cast.homeDepotId}&days=10`);
    const jobs = plan.days.flatMap((one: { day: string; jobs: { machineId: string }[] }) =>
      one.jobs.filter((job) => job.machineId === machineId).map((job) => ({ ...job, on: one.day })),
    );
    expect(jobs.length).toBeGreaterThan(0);
    for (const job of jobs) expect([job.on >= backDay, job.backDay, job.workshop]).toEqual([true, backDay, "Harbour Street workshop"]);
    expect(jobs[0].text).toContain("away at");
    const body = { depotId: app.cast.homeDepotId, day: dayIn(0), riders: [{ staffId: app.cast.staffId("R001") }] };
    const { allocations } = await post("F001", "/v1/readiness/allocation", body, 200);
    expect(JSON.stringify(allocations)).not.toContain(machineId);
  });

  test("is at one workshop at a time, and expected back no sooner than it left", async () => {
    const machineId = await addTestMachine(app);
    await sendOut(machineId, { expectedDay: dayIn(-1) }, "M001", 422, "back-before-it-left");
    await isOut(machineId);
    await sendOut(machineId, {}, "M001", 409, "already-away");
  });

  test("is sent out by mechanics and managers of its depot, and shown to no rider", async () => {
    const machineId = await addTestMachine(app);
    await sendOut(machineId, {}, "R001", 403, "not-your-role");
    await sendOut(machineId, {}, "A001", 403, "not-your-role");
    await sendOut(machineId, {}, "F101", 403, "other-depot");
    const workId = await isOut(machineId);
    await expectAnswer((await as("R001")).get(`/v1/outside-work/${workId}`), 403, "not-your-role");
    await expectAnswer((await as("F101")).get(`/v1/outside-work/${workId}`), 403, "other-depot");
    expect(await get(`/v1/outside-work/${workId}`, "A001")).toMatchObject({ machineId, back: null, late: false });
  });

  test("is recorded once, however often it is sent, in both directions", async () => {
    const machineId = await addTestMachine(app);
    const out = outOf();
    const path = `/v1/machines/${machineId}/outside-work`;
    const first = await post("M001", path, out);
    expect(await post("M001", path, out, 200)).toEqual(first);
    await post("M001", path, { ...out, reason: "Something else" }, 422, "id-reused");
    tick();
    const back = backOf({ workDone: "New ignition coil" });
    const taken = await post("M001", `/v1/outside-work/${out.id}/return`, back);
    expect(await post("M001", `/v1/outside-work/${out.id}/return`, back, 200)).toEqual(taken);
    await takeBack(out.id, {}, "M002", 409, "not-away");
    await takeBack(randomUUID(), {}, "M002", 404, "not-found");
  });
});

describe("when it is back", () => {
  test("with nothing done, a check is all that it needs", async () => {
    const machineId = await addTestMachine(app);
    const early = nilCheckOf(app, machineId);
    tick();
    const workId = await isOut(machineId);
    const { machine, return: back } = await takeBack(workId);
    expect([machine.standing, back.inspectionDue, back.workshop]).toEqual(["unchecked", false, "Harbour Street workshop"]);
    // One made before it left clears nothing.
    const { clearance } = await post("R001", "/v1/daily-checks", early);
    expect(codes(clearance.reasons)).toEqual(["grounded-since-check"]);
    tick();
    expect((await check(machineId)).decision).toBe("ride");
    await expectAgreement(app.context);
  });

  test("what they did besides asks for an inspection made after the return", async () => {
    const machineId = await addTestMachine(app);
    const workId = await isOut(machineId);
    const before = inspectionOf(app, machineId);
    tick();
    const work = { workDone: "New ignition coil, wheel out and in", parts: [{ name: "Coil", quantity: 1, number: "C-7" }] };
    const { machine } = await takeBack(workId, work);
    expect([machine.standing, codes(machine.reasons)[0]]).toEqual(["inspection-overdue", "outside-inspection"]);
    const plan = await get(`/v1/readiness/plan?depotId=${app.cast.homeDepotId}`);
    expect(JSON.stringify(plan)).toContain('"outside-inspection"');
    expect((await post("M001", "/v1/weekly-inspections", before)).standing).toBe("inspection-overdue");
    tick();
    expect((await post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId))).standing).toBe("unchecked");
    expect(await get(`/v1/outside-work/${workId}`)).toMatchObject({ back: { told: { ...work, inspectionDue: true, repaired: [] } } });
    await expectAgreement(app.context);
  });

  test("a defect that they repaired waits for a sign-off by a mechanic of one's own, also by the one who took it back", async () => {
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "front-brake-cable.frayed"));
    const defectId = defects[0].id;
    const workId = await isOut(machineId);
    const parts = [{ name: "Brake cable", quantity: 1 }];
    await takeBack(workId, { repaired: [{ defectId }] }, "M001", 422, "new-part-needed");
    const { machine, return: back } = await takeBack(workId, { repaired: [{ defectId, workDone: "New cable", parts }] });
    expect([machine.standing, back.inspectionDue]).toEqual(["grounded", false]);
    expect(codes(machine.reasons)).toEqual(["grounding-defect", "unchecked"]);
    const defect = await get(`/v1/defects/${defectId}`);
    expect(defect).toMatchObject({ status: "repaired", repairedBy: null, repairedAt: "Harbour Street workshop", secondPerson: true });
    expect(defect.course.at(-1)).toMatchObject({ kind: "repair", data: { outside: { id: back.id, workshop: "Harbour Street workshop" } } });
    const listed = (await get(`/v1/defects?machineId=${machineId}`)).items;
    expect(listed).toMatchObject([{ repairedAt: "Harbour Street workshop" }]);
    await expectAgreement(app.context);
    tick();
    const reading = { quantity: defect.quantity, value: 25, unit: "mm" };
    const body = { id: randomUUID(), ...(defect.quantity === null ? {} : { reading }) };
    await post("M003", `/v1/defects/${defectId}/sign-off`, { ...body, id: randomUUID() }, 403, "competence-missing");
    const signed = await post("M001", `/v1/defects/${defectId}/sign-off`, body);
    expect([signed.defect.status, signed.machine.standing]).toEqual(["signed-off", "unchecked"]);
    await expectAgreement(app.context);
  });

  test("who of one's own repaired it too before is still no second person", async () => {
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "front-brake-cable.frayed"));
    const defectId = defects[0].id;
    const parts = [{ name: "Brake cable", quantity: 1 }];
    tick();
    await post("M001", `/v1/defects/${defectId}/repairs`, { id: randomUUID(), performedAt: now(), workDone: "New cable", parts });
    tick();
    const workId = await isOut(machineId);
    await takeBack(workId, { repaired: [{ defectId, parts }] });
    tick();
    const defect = await get(`/v1/defects/${defectId}`);
    // Nobody said what they did: the record claims nothing of its own.
    expect(defect.course.at(-1)).toMatchObject({
      kind: "repair",
      data: { submitted: { workDone: "Repaired there; nothing more was said" } },
    });
    const reading = { quantity: defect.quantity, value: 25, unit: "mm" };
    const body = () => ({ id: randomUUID(), ...(defect.quantity === null ? {} : { reading }) });
    await post("M001", `/v1/defects/${defectId}/sign-off`, body(), 403, "second-person-needed");
    await post("M002", `/v1/defects/${defectId}/sign-off`, body());
    await expectAgreement(app.context);
  });

  test("a closed defect is not repaired there, nor one twice, and parts come with work", async () => {
    const machineId = await addTestMachine(app);
    const workId = await isOut(machineId);
    const defectId = randomUUID();
    await takeBack(workId, { repaired: [{ defectId }] }, "M001", 409, "defect-closed");
    await takeBack(workId, { repaired: [{ defectId }, { defectId }] }, "M001", 422, "not-valid");
    await takeBack(workId, { parts: [{ name: "Coil", quantity: 1 }] }, "M001", 422, "not-valid");
  });

  test("their invoice hangs on the record as a picture, for all but riders", async () => {
    const machineId = await addTestMachine(app);
    const workId = await isOut(machineId);
    const photoId = randomUUID();
    const picture = await plainPicture("png");
    const sent = (await as("F001")).post(`/v1/photos?id=${photoId}`).set("content-type", "image/png").send(picture);
    await expectAnswer(sent, 201);
    const late = randomUUID();
    const { flags } = await takeBack(workId, { photoIds: [photoId, late] }, "F001");
    expect(flags).toEqual(["photo-awaited"]);
    const { back } = await get(`/v1/outside-work/${workId}`);
    expect([back.photos.map((one: { id: string }) => one.id), back.photosAwaited]).toEqual([[photoId], [late]]);
    await expectAnswer((await as("M001")).get(`/v1/photos/${photoId}`), 200);
    await expectAnswer((await as("R001")).get(`/v1/photos/${photoId}`), 404, "not-found");
    await expectAnswer((await as("F101")).get(`/v1/photos/${photoId}`), 403, "other-depot");
  });
});

test("what was said of a stay is forgotten once its time is over, and not as long as the machine is there", async () => {
  const own = await openTestApp();
  const people = peopleAtHand(own);
  const at = () => own.context.clock.now().toISOString();
  const send = async (path: string, body: object) => expectAnswer((await people("M001")).post(path).send(body), 201);
  const machineId = await addTestMachine(own);
  const out = { id: randomUUID(), since: at(), workshop: "Harbour Street workshop", reason: "Ignition", expectedDay: at().slice(0, 10) };
  const found = checkFinding(own, machineId, "bodywork.mirror-broken");
  const { defects } = await expectAnswer((await people("R001")).post("/v1/daily-checks").send(found), 201);
  const shown = () =>
    expectAnswer(
      people("M001").then((mechanic) => mechanic.get(`/v1/defects/${defects[0].id}`)),
      200,
    );
  await send(`/v1/machines/${machineId}/outside-work`, out);
  const forget = async () => {
    own.context.clock.advance(500 * day * minute);
    await takeCheckpoint(own.context);
    await forgetOld(own.context);
    return expectAnswer((await people("M001")).get(`/v1/outside-work/${out.id}`), 200);
  };
  expect(await forget()).toMatchObject({ told: { workshop: "Harbour Street workshop", reason: "Ignition" }, late: true, back: null });
  await send(`/v1/outside-work/${out.id}/return`, { id: randomUUID(), returnedAt: at(), repaired: [{ defectId: defects[0].id }] });
  expect(await shown()).toMatchObject({ repairedBy: null, repairedAt: "Harbour Street workshop" });
  await send(`/v1/defects/${defects[0].id}/sign-off`, { id: randomUUID() });
  expect(await forget()).toMatchObject({ told: null, late: false, back: { told: null } });
  // Its row names the record in place of a person, and that says no more which workshop it was.
  expect(await shown()).toMatchObject({ status: "signed-off", repairedBy: null, repairedAt: null });
  await expectAgreement(own.context);
  await own.close();
});
