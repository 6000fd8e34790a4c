// A machine fell or was in a collision, over HTTP: who may say so, what it grounds and until when, and what of its report is kept.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { plainPicture } from "../support/pictures.ts";
import { expectAgreement } from "../support/proofs.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, inspectionFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const tick = (minutes = 1) => app.context.clock.advance(minutes * minute);
const ago = (minutes: number) => new Date(app.context.clock.now().getTime() - minutes * minute).toISOString();
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const fallOf = (changes: object = {}) => ({
  id: randomUUID(),
  happenedAt: ago(0),
  hit: "slid",
  bent: ["handlebar", "footrest"],
  ...changes,
});
const fell = async (machineId: string, body: object = fallOf(), who = "R001") => post(who, `/v1/machines/${machineId}/falls`, body);
const check = async (machineId: string, changes: object = {}) =>
  (await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId, changes))).clearance;
const inspect = async (machineId: string, changes: object = {}) =>
  post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId, changes));
const codes = (reasons: readonly { code: string }[]) => reasons.map(({ code }) => code);
const shown = async (id: string, who = "M001") => expectAnswer((await as(who)).get(`/v1/falls/${id}`), 200);

describe("a machine that fell", () => {
  test("is grounded at once: every clearance ends, and no check clears it before the inspection", async () => {
    const machineId = await addTestMachine(app);
    tick();
    expect((await check(machineId)).decision).toBe("ride");
    tick();
    const body = fallOf({ note: "Wet leaves at the bridge", odometerKm: 1004 });
    const { fall, machine, flags, inspectedBetween } = await fell(machineId, body);
    expect(fall).toEqual({
      ...{ id: body.id, machineId, staffId: app.cast.staffId("R001"), happenedAt: body.happenedAt, recordedAt: body.happenedAt },
      ...{ hit: "slid", bent: ["handlebar", "footrest"], note: "Wet leaves at the bridge", odometerKm: 1004 },
    });
    expect([flags, inspectedBetween]).toEqual([[], null]);
    expect(machine).toMatchObject({ id: machineId, standing: "grounded", reasons: [{ code: "fall-inspection", fallId: body.id }, {}] });
    expect(await onBoard(as, machineId)).toMatchObject({
      standing: "grounded",
      reasons: [{ code: "fall-inspection", fallId: body.id, text: expect.stringContaining("fell") }, { code: "unchecked" }],
    });
    tick();
    const refused = await check(machineId, { odometerKm: 1004 });
    expect([refused.decision, codes(refused.reasons)]).toEqual(["do-not-ride", ["fall-inspection"]]);
    const { odometerKm } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}`), 200);
    expect(odometerKm).toBe(1004);
  });

  test("rides again after an inspection made since and a check made after that", async () => {
    const machineId = await addTestMachine(app);
    tick();
    const before = nilCheckOf(app, machineId);
    tick();
    const { fall } = await fell(machineId);
    expect(await shown(fall.id)).toMatchObject({ inspection: null });
    tick();
    const { inspection, standing } = await inspect(machineId);
    expect(standing).toBe("unchecked");
    expect(await shown(fall.id)).toMatchObject({ inspection: { id: inspection.id, staffId: app.cast.staffId("M001") } });
    const early = (await post("R001", "/v1/daily-checks", before)).clearance;
    expect([early.decision, codes(early.reasons)]).toEqual(["do-not-ride", ["grounded-since-check"]]);
    expect((await check(machineId)).decision).toBe("ride");
    await expectAgreement(app.context);
  });

  test("stays grounded by what the inspection finds, which opens as any defect does", async () => {
    const machineId = await addTestMachine(app);
    await fell(machineId);
    tick();
    const { standing, defects } = await post("M001", "/v1/weekly-inspections", inspectionFinding(app, machineId, "front-spokes.broken"));
    expect([standing, defects.length]).toEqual(["grounded", 1]);
    expect(codes((await onBoard(as, machineId)).reasons)).toEqual(["grounding-defect", "unchecked"]);
  });

  test("is not released by an inspection made before the fall that arrives after its report", async () => {
    const machineId = await addTestMachine(app);
    tick(10);
    const performedAt = ago(5);
    await fell(machineId, fallOf({ happenedAt: ago(2) }));
    tick();
    expect((await inspect(machineId, { performedAt })).standing).toBe("grounded");
    expect(codes((await onBoard(as, machineId)).reasons)).toEqual(["fall-inspection", "unchecked"]);
    tick();
    expect((await inspect(machineId)).standing).toBe("unchecked");
  });

  test("stays so through a withdrawal and a move, and for each fall until an inspection made after it", async () => {
    const machineId = await addTestMachine(app);
    const amend = async (body: object) => expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send(body), 200);
    await fell(machineId);
    tick();
    await amend({ withdrawn: { reason: "Looked at by the insurer" } });
    await amend({ withdrawn: null });
    await amend({ depotId: app.cast.farDepotId });
    await amend({ depotId: app.cast.homeDepotId });
    tick();
    expect(codes((await onBoard(as, machineId)).reasons)).toEqual(["fall-inspection", "return-inspection", "unchecked"]);
    const inspection = inspectionOf(app, machineId);
    tick();
    await fell(machineId, fallOf({ hit: "fell-over-standing" }), "M001");
    tick();
    await post("M001", "/v1/weekly-inspections", inspection);
    expect(codes((await onBoard(as, machineId)).reasons)).toEqual(["fall-inspection", "unchecked"]);
    await inspect(machineId);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await expectAgreement(app.context);
  });
});

describe("the report of a fall", () => {
  test("that arrives late grounds all the same, an inspection made in between told beside it", async () => {
    const machineId = await addTestMachine(app);
    tick(240);
    const happenedAt = ago(200);
    const { inspection } = await inspect(machineId);
    tick();
    expect((await check(machineId)).decision).toBe("ride");
    tick();
    const { flags, machine, inspectedBetween, fall } = await fell(machineId, fallOf({ happenedAt }));
    expect([flags, machine.standing, inspectedBetween]).toEqual([["arrived-late"], "grounded", inspection.performedAt]);
    expect(await shown(fall.id)).toMatchObject({ happenedAt, inspectedBetween, inspection: null });
    expect((await check(machineId)).decision).toBe("do-not-ride");
  });

  test("by a clock that is ahead counts from its arrival, so that an inspection can follow", async () => {
    const machineId = await addTestMachine(app);
    const { flags, fall } = await fell(machineId, fallOf({ happenedAt: ago(-600) }));
    expect([flags, fall.happenedAt]).toEqual([["clock-ahead"], ago(0)]);
    tick();
    expect((await inspect(machineId)).standing).toBe("unchecked");
  });

  test("is taken from a rider of another depot, and flagged", async () => {
    const machineId = await addTestMachine(app, { depotId: app.cast.farDepotId });
    const { flags, fall } = await fell(machineId);
    expect(flags).toEqual(["other-depot"]);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    await expectAnswer((await as("R001")).get(`/v1/falls/${fall.id}`), 403, "other-depot");
  });

  test("is refused from an auditor, and of a machine that nobody knows", async () => {
    const machineId = await addTestMachine(app);
    await post("A001", `/v1/machines/${machineId}/falls`, fallOf(), 403, "not-your-role");
    await post("R001", `/v1/machines/${randomUUID()}/falls`, fallOf(), 404, "not-found");
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await expectAnswer((await as("M001")).get(`/v1/falls/${machineId}`), 404, "not-found");
  });

  test("gets its receipt again, and its id stands for nothing else", async () => {
    const machineId = await addTestMachine(app);
    const body = fallOf();
    const first = await fell(machineId, body);
    tick();
    await inspect(machineId);
    expect(await post("R001", `/v1/machines/${machineId}/falls`, body, 200)).toEqual(first);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await post("R001", `/v1/machines/${machineId}/falls`, { ...body, hit: "struck-fixed" }, 422, "id-reused");
    await post("R001", `/v1/machines/${await addTestMachine(app)}/falls`, body, 422, "id-reused");
    await post("M001", `/v1/machines/${machineId}/falls`, body, 422, "id-reused");
  });

  test("is taken with what is wrong in it mended and flagged; one that tells nothing is refused", async () => {
    const machineId = await addTestMachine(app);
    const { fall, flags } = await fell(machineId, {
      id: randomUUID(),
      happenedAt: "this morning",
      bent: "fork",
      odometerKm: "no",
      colour: 1,
    });
    expect(fall).toMatchObject({ hit: "not-said", bent: ["fork"], odometerKm: null, happenedAt: ago(0) });
    expect(new Set(flags)).toEqual(new Set(["time-unreadable", "value-unreadable", "odometer-unreadable", "field-unknown"]));
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    for (const nothing of [{}, { id: randomUUID(), happenedAt: ago(0) }])
      await post("R001", `/v1/machines/${machineId}/falls`, nothing, 422, "not-valid");
  });

  test("keeps an odometer that went backwards, flagged, and does not take it for read", async () => {
    const machineId = await addTestMachine(app);
    const { flags, fall } = await fell(machineId, fallOf({ odometerKm: 12 }));
    expect([flags, fall.odometerKm]).toEqual([["odometer-backwards"], 12]);
    expect((await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}`), 200)).odometerKm).toBe(1000);
    await expectAgreement(app.context);
  });

  test("shows its photos, whichever arrives first, to those who see the machine", async () => {
    const machineId = await addTestMachine(app);
    const [there, later] = [randomUUID(), randomUUID()];
    const photo = async (id: string) =>
      expectAnswer(
        (await as("R001"))
          .post("/v1/photos")
          .query({ id })
          .set("content-type", "image/jpeg")
          .send(await plainPicture("jpeg")),
        201,
      );
    await photo(there);
    const { fall, flags } = await fell(machineId, fallOf({ photoIds: [there, later] }));
    expect(flags).toEqual(["photo-awaited"]);
    expect(await shown(fall.id)).toMatchObject({ photos: [{ id: there }], photosAwaited: [later] });
    tick();
    await photo(later);
    expect(await shown(fall.id, "R002")).toMatchObject({ photos: [{ id: there }, { id: later }], photosAwaited: [] });
    await expectAnswer((await as("R002")).get(`/v1/photos/${later}`), 200);
  });

  test("is a paper of its own, with what the inspection after it found, for all but riders", async () => {
    const machineId = await addTestMachine(app);
    const { fall } = await fell(machineId, fallOf({ note: "Wet leaves at the bridge" }));
    const paper = async () => (await reportAt(await as("M001"), `/v1/falls/${fall.id}/report.pdf`)).read.text;
    expect(await paper()).toMatch(/Slid and went down.*Handlebar, Footrest.*Wet leaves at the bridge.*Not made/s);
    tick();
    await post("M001", "/v1/weekly-inspections", inspectionFinding(app, machineId, "front-spokes.broken"));
    const text = await paper();
    expect(text).toMatch(/signed by Person M001.*Front spokes.*One missing, bent or cracked/s);
    expect(text).toContain("no advice on liability or injury");
    await expectAnswer((await as("R001")).get(`/v1/falls/${fall.id}/report.pdf`), 403, "not-your-role");
  });

  test("stands in the machine's report, waiting for its inspection or with who made it", async () => {
    const machineId = await addTestMachine(app);
    await fell(machineId, fallOf({ note: "Wet leaves at the weir" }));
    const paper = async () => (await reportAt(await as("M001"), `/v1/machines/${machineId}/roadworthiness.pdf`)).read.text;
    expect(await paper()).toMatch(
      /Falls and collisions.*Slid and went down; looks bent or broken: Handlebar, Footrest.*not yet: grounded/s,
    );
    tick();
    await post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
    const inspected = await paper();
    expect(inspected).toMatch(/Falls and collisions.*Wet leaves at the weir/s);
    expect(inspected).not.toContain("not yet: grounded");
  });

  test("stands in the machine's history, in the month's records and in the plan", async () => {
    const machineId = await addTestMachine(app);
    const { fall } = await fell(machineId, fallOf({ hit: "the gate of the yard" }));
    const { items } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/history`), 200);
    expect(items[0]).toMatchObject({ id: fall.id, kind: "machine-fell" });
    const month = fall.recordedAt.slice(0, 7);
    const csv = await (await as("A001")).get("/v1/records").query({ month, format: "csv" });
    expect(csv.text).toContain("the gate of the yard; looks bent or broken: Handlebar, Footrest");
    const plan = await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 7 }), 200);
    expect(JSON.stringify(plan)).toContain("Weekly inspection after a fall or collision");
  });
});
