// Defects over HTTP: the whole course, every refusal, who may, and the lists.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard, repairOf, reportOf, throughItsCourse } from "../support/acts.ts";
import { addTestMachine, inspectionFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);
const dayAfter = (days: number) => new Date(app.context.clock.now().getTime() + days * 86_400_000).toISOString().slice(0, 10);

const post = async (who: string, path: string, body: object, status: number, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const report = async (machineId: string, seen: string, changes: object = {}, who = "R001") =>
  (await post(who, "/v1/defects", reportOf(app, machineId, seen, changes), 201)).defect.id as string;
const act = (who: string, defectId: string, what: string, body: object, status = 201, code?: string) =>
  post(who, `/v1/defects/${defectId}/${what}`, { id: randomUUID(), ...body }, status, code);
const show = async (defectId: string, who = "M001") => expectAnswer((await as(who)).get(`/v1/defects/${defectId}`), 200);

describe("the course", () => {
  test("is shown whole and in order: raised, seen again, deferred, re-graded, repaired, signed off, each with who and when", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.weak");
    tick();
    await post("R002", "/v1/defects", reportOf(app, machineId, "horn.button-sticks"), 201);
    tick();
    await act("F001", id, "deferral", { untilDay: dayAfter(2), reason: "No part" });
    tick();
    await act("M001", id, "regrades", { category: "major", reason: "Silent when hot" });
    tick();
    await act("M001", id, "repairs", repairOf(app));
    tick();
    await act("M002", id, "sign-off", { statement: "Loud" });
    const shown = await show(id);
    expect(shown.course.map(({ kind }: { kind: string }) => kind)).toEqual([
      ...["raised", "sighting", "deferral", "re-grade", "repair", "sign-off"],
    ]);
    expect(shown.course.map(({ staffId }: { staffId: string }) => staffId)).toEqual(
      ["R001", "R002", "F001", "M001", "M001", "M002"].map(app.cast.staffId),
    );
    const times: string[] = shown.course.map(({ recordedAt }: { recordedAt: string }) => recordedAt);
    expect(times).toEqual([...times].sort());
    expect(shown).toMatchObject({
      ...{ status: "signed-off", category: "major", sightings: 2, grounds: false, origin: "report" },
      observationIds: ["horn.weak", "horn.button-sticks"],
      closedBy: app.cast.staffId("M002"),
    });
  });

  test("a defect noticed on the road by anybody but the auditor grounds at once and ends the clearance held", async () => {
    for (const who of ["R001", "M001", "F001"]) {
      const machineId = await addTestMachine(app);
      await post("R002", "/v1/daily-checks", nilCheckOf(app, machineId), 201);
      expect((await onBoard(as, machineId)).standing).toBe("fit");
      const id = await report(machineId, "stop-lamp.out", {}, who);
      expect(await onBoard(as, machineId)).toMatchObject({
        standing: "grounded",
        reasons: [{ code: "grounding-defect", defectId: id }, {}],
      });
    }
    const machineId = await addTestMachine(app);
    await post("A001", "/v1/defects", reportOf(app, machineId, "stop-lamp.out"), 403, "not-your-role");
  });

  test("a free note alone, and an item without an observation, count as major until a mechanic has looked", async () => {
    const machineId = await addTestMachine(app);
    const note = { observationIds: [], note: "Something rattles" };
    const first = await post("R001", "/v1/defects", { ...reportOf(app, machineId, "x"), ...note }, 201);
    expect(first.defect).toMatchObject({ category: "major", status: "open" });
    expect(first.machine.standing).toBe("grounded");
    const second = await post("R001", "/v1/defects", { ...reportOf(app, machineId, "x"), observationIds: [], itemId: "horn" }, 201);
    expect(second.defect.category).toBe("major");
    const nothing = { id: randomUUID(), machineId, seenAt: app.context.clock.now().toISOString() };
    await post("R001", "/v1/defects", nothing, 422, "not-valid");
    // Words alone are never taken for the same defect twice.
    const third = await post("R001", "/v1/defects", { ...reportOf(app, machineId, "x"), ...note }, 201);
    expect(third.defect.id).not.toBe(first.defect.id);
  });

  test("the machine rides again only when the last grounding defect is signed off, and then needs a new check", async () => {
    const machineId = await addTestMachine(app);
    const [one, other] = [await report(machineId, "horn.silent"), await report(machineId, "stop-lamp.out")];
    for (const [index, id] of [one, other].entries()) {
      tick();
      await act("M001", id, "repairs", repairOf(app));
      expect((await onBoard(as, machineId)).standing).toBe("grounded");
      const receipt = await act("M001", id, "sign-off", {});
      expect(receipt.machine.standing).toBe(index === 0 ? "grounded" : "unchecked");
    }
  });

  test("no fault found closes a defect with a reason, but not after a repair", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.silent");
    await act("M001", id, "not-found", {}, 422, "not-valid");
    const receipt = await act("M001", id, "not-found", { reason: "Sounds as it should" });
    expect(receipt.defect.status).toBe("not-found");
    const repaired = await report(machineId, "stop-lamp.out");
    await act("M001", repaired, "repairs", repairOf(app));
    await act("M001", repaired, "not-found", { reason: "Nothing" }, 409, "already-repaired");
  });

  test("seen again after the repair it needs another repair; a repair made before it was last seen counts for nothing", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.silent");
    tick();
    const repairedAt = app.context.clock.now().toISOString();
    await act("M001", id, "repairs", repairOf(app));
    tick();
    await post("R002", "/v1/defects", reportOf(app, machineId, "horn.silent"), 201);
    await act("M002", id, "sign-off", {}, 409, "repair-missing");
    tick();
    const late = await act("M001", id, "repairs", repairOf(app, { performedAt: repairedAt }));
    expect(late.defect.status).toBe("open");
    await act("M002", id, "sign-off", {}, 409, "repair-missing");
    await act("M001", id, "repairs", repairOf(app));
    await act("M002", id, "sign-off", {});
  });

  test("an open defect goes with its machine to another depot, where it is seen and put right; one that was closed stays", async () => {
    const machineId = await addTestMachine(app);
    const [id, closed] = [await report(machineId, "horn.silent"), await report(machineId, "stop-lamp.out")];
    await act("M001", closed, "not-found", { reason: "It lights" });
    await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ depotId: app.cast.farDepotId }), 200);
    const list = await expectAnswer((await as("F101")).get("/v1/defects").query({ machineId }), 200);
    expect(list.items.map((defect: { id: string }) => defect.id)).toEqual([id]);
    expect((await show(id, "R101")).depotId).toBe(app.cast.farDepotId);
    expect((await show(closed, "R001")).depotId).toBe(app.cast.homeDepotId);
    await expectAnswer((await as("R001")).get(`/v1/defects/${id}`), 403, "other-depot");
  });
});

describe("what is refused", () => {
  test("riders, managers and auditors may neither repair, sign off, find nothing nor re-grade; riders and auditors may not defer", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    for (const who of ["R001", "F001", "A001"]) {
      await act(who, id, "repairs", repairOf(app), 403, "not-your-role");
      await act(who, id, "sign-off", {}, 403, "not-your-role");
      await act(who, id, "not-found", { reason: "No" }, 403, "not-your-role");
      await act(who, id, "regrades", { category: "minor", reason: "No" }, 403, "not-your-role");
    }
    for (const who of ["R001", "A001"]) await act(who, id, "deferral", { untilDay: dayAfter(1), reason: "No" }, 403, "not-your-role");
  });

  test("a mechanic without the item's competence repairs, but does not sign off, find nothing or re-grade", async () => {
    const id = await report(await addTestMachine(app), "steering.knock");
    await act("M003", id, "not-found", { reason: "No" }, 403, "competence-missing");
    await act("M003", id, "regrades", { category: "minor", reason: "No" }, 403, "competence-missing");
    await act("M003", id, "repairs", repairOf(app));
    await act("M003", id, "sign-off", {}, 403, "competence-missing");
    await act("M002", id, "sign-off", {});
  });

  test("what one report saw at several items is a defect of each, with that item's competence, whatever item it names", async () => {
    const machineId = await addTestMachine(app);
    const seen = ["horn.weak", "front-brake-cable.frayed"];
    const body = { ...reportOf(app, machineId, "x"), itemId: "horn", observationIds: seen, note: "Both on the way back" };
    const receipt = await post("R001", "/v1/defects", body, 201);
    expect(receipt.defect).toMatchObject({ id: body.id, category: "dangerous" });
    expect(await post("R001", "/v1/defects", body, 200)).toEqual(receipt);
    const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId }), 200);
    expect(items).toHaveLength(2);
    expect(items).toEqual(
      expect.arrayContaining([
        expect.objectContaining({
          id: body.id,
          itemId: "front-brake-cable",
          competence: "brakes",
          secondPerson: true,
          category: "dangerous",
        }),
        expect.objectContaining({ itemId: "horn", category: "minor", originId: body.id }),
      ]),
    );
    // Reported again, both are sightings.
    tick();
    await post("R001", "/v1/defects", { ...body, id: randomUUID() }, 201);
    const again = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId }), 200);
    expect(again.items.map(({ sightings }: { sightings: number }) => sightings)).toEqual([2, 2]);
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("whoever took part in the repair is no second person, whoever repaired last", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "steering.knock");
    await act("M001", id, "repairs", repairOf(app));
    await act("M003", id, "repairs", repairOf(app));
    await act("M001", id, "sign-off", {}, 403, "second-person-needed");
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    // It did not hold: what was done before counts no more, and the next repair is somebody else's.
    tick();
    await report(machineId, "steering.knock");
    tick();
    await act("M002", id, "repairs", repairOf(app));
    await act("M002", id, "sign-off", {}, 403, "second-person-needed");
    await act("M001", id, "sign-off", {});
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("of two repairs the one made later counts, whichever arrives first, and a sighting between them undoes neither the later nor the earlier arrival", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "steering.knock");
    const repairAt = (minutes: number) => ({
      ...repairOf(app),
      performedAt: new Date(app.context.clock.now().getTime() - minutes * 60_000).toISOString(),
    });
    tick(60);
    await act("M001", id, "repairs", repairAt(10));
    await act("M003", id, "repairs", repairAt(40));
    await act("M001", id, "sign-off", {}, 403, "second-person-needed");
    // Seen at work half an hour ago, after the older repair and before the newer one.
    const seenAt = repairAt(30).performedAt;
    await post("R002", "/v1/defects", reportOf(app, machineId, "steering.knock", { seenAt }), 201);
    expect((await show(id)).status).toBe("repaired");
    await act("M001", id, "sign-off", {}, 403, "second-person-needed");
    await act("M002", id, "sign-off", {});
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("whoever repaired steering, wheels or brakes does not lower its category alone: that would be a sign-off by the repairer", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "steering.knock");
    await act("M001", id, "repairs", repairOf(app));
    await act("M001", id, "regrades", { category: "minor", reason: "Sits well now" }, 403, "second-person-needed");
    const other = (await show(id)).category === "dangerous" ? "major" : "dangerous";
    await act("M001", id, "regrades", { category: other, reason: "Grounds either way" });
    await act("M002", id, "regrades", { category: "minor", reason: "A trace only" });
    expect(await onBoard(as, machineId)).toMatchObject({ standing: "grounded" });
    await act("M002", id, "sign-off", {});
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  });

  test("a frayed brake cable is repaired by a new cable only, read after the work, and signed off by somebody else", async () => {
    const id = await report(await addTestMachine(app), "front-brake-cable.frayed");
    await act("M001", id, "sign-off", {}, 409, "repair-missing");
    await act("M001", id, "repairs", { ...repairOf(app), parts: [] }, 422, "new-part-needed");
    await act("M001", id, "repairs", repairOf(app));
    await act("M001", id, "sign-off", { reading: { value: 25, unit: "mm" } }, 403, "second-person-needed");
    await act("M002", id, "sign-off", {}, 422, "reading-missing");
    await act("M002", id, "sign-off", { reading: { value: 31, unit: "mm" } }, 422, "reading-outside");
    for (const reading of [
      { value: 25, unit: "kPa" },
      { value: 5000, unit: "mm" },
      { value: 25, unit: "mm", quantity: "front-tread" },
    ]) {
      const refused = await act("M002", id, "sign-off", { reading }, 422, "not-valid");
      expect(refused.issues[0].pointer).toBe("/reading");
    }
    await act("M002", id, "sign-off", { reading: { value: 25, unit: "mm" } });
    for (const [what, body] of [
      ["repairs", repairOf(app)],
      ["sign-off", {}],
      ["deferral", { untilDay: dayAfter(1), reason: "No" }],
      ["not-found", { reason: "No" }],
      ["regrades", { category: "minor", reason: "No" }],
    ] as const) {
      await act("M002", id, what, body, 409, "defect-closed");
    }
  });

  test("a deferral is for minor defects, from today to the last day, and never moves a day that an inspection has set", async () => {
    const machineId = await addTestMachine(app);
    const major = await report(machineId, "stop-lamp.out");
    await act("M001", major, "deferral", { untilDay: dayAfter(1), reason: "No part" }, 409, "only-minor-deferred");
    const id = await report(machineId, "horn.weak");
    await act("M001", id, "deferral", { untilDay: dayAfter(-1), reason: "No part" }, 422, "deferral-too-early");
    // 7 days, and the next weekly inspection is due on the same day.
    await act("M001", id, "deferral", { untilDay: dayAfter(8), reason: "No part" }, 422, "deferral-too-long");
    const deferred = await act("M001", id, "deferral", { untilDay: dayAfter(7), reason: "No part" });
    expect(deferred.defect).toMatchObject({ status: "deferred", dueDay: dayAfter(7) });
    tick();
    await post("M001", "/v1/weekly-inspections", inspectionFinding(app, machineId, "horn-and-switches.weak"), 201);
    await act("M001", id, "deferral", { untilDay: dayAfter(1), reason: "No part" }, 422, "deferral-too-long");
    expect((await show(id)).dueDay).toBe(dayAfter(0));
    await act("M001", id, "repairs", repairOf(app));
    await act("M001", id, "deferral", { untilDay: dayAfter(0), reason: "No part" }, 409, "already-repaired");
  });

  test("a re-grade takes a reason, another category and the competence; to minor it releases the machine, to major it grounds", async () => {
    const machineId = await addTestMachine(app);
    const id = await report(machineId, "horn.silent");
    await act("M001", id, "regrades", { category: "minor" }, 422, "not-valid");
    await act("M001", id, "regrades", { category: "major", reason: "The same" }, 409, "same-category");
    tick();
    const lowered = await act("M001", id, "regrades", { category: "minor", reason: "Only with the lights on" });
    expect(lowered.machine.standing).toBe("unchecked");
    expect(lowered.defect.dueDay).toBe(dayAfter(7));
    const check = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId), 201);
    expect(check.clearance.decision).toBe("ride-with-defects");
    const raised = await act("M001", id, "regrades", { category: "dangerous", reason: "Shorts the lamp" });
    expect(raised.machine.standing).toBe("grounded");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  });

  test("what a rider wears is no defect of a machine: the report says where it belongs", async () => {
    const machineId = await addTestMachine(app);
    await post("R001", "/v1/defects", reportOf(app, machineId, "rider-gear.helmet-damaged"), 422, "about-the-rider");
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  });
});

test("with the policy's second person switched off the repairer signs off, and the choice is itself a record", async () => {
  const machineId = await addTestMachine(app);
  const id = await report(machineId, "steering.knock");
  await act("M001", id, "repairs", repairOf(app));
  await act("M001", id, "sign-off", {}, 403, "second-person-needed");
  await expectAnswer((await as("F001")).put("/v1/policy").send({ secondPerson: false }), 200);
  await act("M001", id, "sign-off", {});
  const [entry] = await app.context.db.rows<{ data: { changed: string[] }; staffId: string }>(
    `SELECT data, staff_id AS "staffId" FROM ledger WHERE kind = 'policy-changed' ORDER BY position DESC LIMIT 1`,
  );
  expect(entry).toMatchObject({ data: { changed: ["secondPerson"] }, staffId: app.cast.staffId("F001") });
  await expectAnswer((await as("F001")).put("/v1/policy").send({}), 200);
  const again = await report(machineId, "steering.knock");
  await act("M001", again, "repairs", repairOf(app));
  await act("M001", again, "sign-off", {}, 403, "second-person-needed");
});

describe("the list", () => {
  test("walks every row once whatever the page size, newest first, also where many were seen at the same moment", async () => {
    const machineId = await addTestMachine(app);
    const expected: string[] = [];
    for (const seen of ["horn.weak", "stop-lamp.dim", "lamps.part-out", "stand.stiff", "indicators.wrong-rhythm"]) {
      expected.push(await report(machineId, seen));
    }
    tick();
    expected.push(await report(machineId, "fuel.low"), await report(machineId, "chain.dry"));
    for (const limit of [1, 2, 3, 200]) {
      const walked: { id: string; seenAt: string }[] = [];
      let cursor: string | null = null;
      do {
        const page: { items: typeof walked; nextCursor: string | null } = await expectAnswer(
          (await as("M001")).get("/v1/defects").query({ machineId, limit, ...(cursor ? { cursor } : {}) }),
          200,
        );
        walked.push(...page.items);
        cursor = page.nextCursor;
      } while (cursor !== null);
      expect(walked.map(({ id }) => id).sort()).toEqual([...expected].sort());
      const times = walked.map(({ seenAt }) => seenAt);
      expect(times).toEqual([...times].sort().reverse());
    }
  });

  test("is narrowed by status, category, day of the depot and machine", async () => {
    const machineId = await addTestMachine(app);
    const minor = await report(machineId, "horn.weak");
    const major = await report(machineId, "stop-lamp.out");
    const closed = await throughItsCourse(app, as, machineId, "lamps.headlamp-out");
    const ids = async (query: object) =>
      (await expectAnswer((await as("F001")).get("/v1/defects").query({ machineId, ...query }), 200)).items
        .map(({ id }: { id: string }) => id)
        .sort();
    expect(await ids({})).toEqual([minor, major, closed].sort());
    expect(await ids({ status: "open" })).toEqual([minor, major].sort());
    expect(await ids({ status: "signed-off" })).toEqual([closed]);
    expect(await ids({ category: "minor" })).toEqual([minor]);
    expect(await ids({ from: dayAfter(0), to: dayAfter(0) })).toEqual([minor, major, closed].sort());
    expect(await ids({ from: dayAfter(1) })).toEqual([]);
    expect(await ids({ to: dayAfter(-1) })).toEqual([]);
    expect(await ids({ depotId: app.cast.farDepotId })).toEqual([]);
  });

  test("count days by the clock of each defect's own depot, whether or not a depot is named", async () => {
    const machineId = await addTestMachine(app, { depotId: app.cast.farDepotId });
    // One in the morning of the 13th in Ho Chi Minh City.
    const id = await report(machineId, "horn.weak", { seenAt: "2026-07-12T18:00:00.000Z" }, "R101");
    for (const named of [{}, { depotId: app.cast.farDepotId }]) {
      const on = async (day: string) => {
        const query = { machineId, from: day, to: day, ...named };
        const { items } = await expectAnswer((await as("F001")).get("/v1/defects").query(query), 200);
        return items.map((defect: { id: string }) => defect.id);
      };
      expect([await on("2026-07-12"), await on("2026-07-13"), await on("2026-07-14")]).toEqual([[], [id], []]);
    }
  });

  test("and the single defect show riders their own depots only", async () => {
    const id = await report(await addTestMachine(app), "horn.weak");
    const far = await report(await addTestMachine(app, { depotId: app.cast.farDepotId }), "horn.weak", {}, "R101");
    const listed = (await expectAnswer((await as("R101")).get("/v1/defects").query({ limit: 200 }), 200)).items;
    const listedIds = listed.map((defect: { id: string }) => defect.id);
    expect(listedIds).toContain(far);
    expect(listedIds).not.toContain(id);
    expect(new Set(listed.map(({ depotId }: { depotId: string }) => depotId))).toEqual(new Set([app.cast.farDepotId]));
    await expectAnswer((await as("R101")).get(`/v1/defects/${id}`), 403, "other-depot");
    await expectAnswer((await as("R101")).get("/v1/defects").query({ depotId: app.cast.homeDepotId }), 403, "other-depot");
  });
});

test("a repeated act answers 200 with the receipt byte for byte, and its id stands for nothing else", async () => {
  const machineId = await addTestMachine(app);
  const id = await report(machineId, "horn.silent");
  const body = repairOf(app);
  const first = await (await as("M001")).post(`/v1/defects/${id}/repairs`).send(body);
  tick(3);
  await act("M001", id, "sign-off", {});
  const again = await (await as("M001")).post(`/v1/defects/${id}/repairs`).send(body);
  expect([first.status, again.status, again.text]).toEqual([201, 200, first.text]);
  await act("M001", id, "repairs", { ...body, workDone: "Something else" }, 422, "id-reused");
  await act("M002", id, "repairs", body, 422, "id-reused");
  await act("M001", id, "sign-off", { id: body.id }, 422, "id-reused");
  const other = await report(machineId, "horn.silent");
  await act("M001", other, "repairs", body, 422, "id-reused");
});
