// Something clerical is wrong with a body that tells of a danger: the machine is grounded all the same, and the record says what was wrong.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { chainMachine } from "../support/machines.ts";
import { expectAgreement } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const cords = "front-tyre-tread.cords-show";
const post = async (who: string, path: string, body: object | string, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).set("content-type", "application/json").send(body), status, code);
const standingOf = async (machineId: string) => (await onBoard(as, machineId)).standing;
const photos = (count: number) => Array.from({ length: count }, () => randomUUID());

describe("'cords show' grounds the machine", () => {
  const inAnswer = (changes: object) => (body: ReturnType<typeof checkFinding>) => ({
    ...body,
    answers: body.answers.map((answer) => (answer.result === "defect" ? { ...answer, ...changes } : answer)),
  });
  const onBody = (changes: object) => (body: ReturnType<typeof checkFinding>) => ({ ...body, ...changes });
  test.each([
    ["an odometer of 7 digits", onBody({ odometerKm: 9_000_123 }), ["odometer-unreadable"]],
    ["11 photos", inAnswer({ photoIds: photos(11) }), ["photos-left-out"]],
    ["a note that is too long", inAnswer({ note: "far too long ".repeat(200) }), ["text-clipped"]],
    ["a tab and a NUL in the note", inAnswer({ note: "cords\tshow\u0000" }), []],
    ["a time that nobody can read", onBody({ performedAt: "this morning" }), ["time-unreadable"]],
    ["a duration below nothing", onBody({ durationSeconds: -5 }), ["duration-unreadable"]],
    ["a field that is not known", onBody({ mood: "bad" }), ["field-unknown"]],
    ["a sheet that there is not", onBody({ sheetVersion: "1999-01" }), ["sheet-unknown"]],
    ["no id of its own", onBody({ id: "none" }), ["id-made-here"]],
    ["what was seen as one text instead of a list", inAnswer({ observationIds: cords }), ["value-unreadable"]],
  ])("in a check with %s, flagged, and the same body again gets its receipt", async (_what, damage, flags) => {
    const machineId = await addTestMachine(app);
    const body = damage(checkFinding(app, machineId, cords));
    const receipt = await post("R001", "/v1/daily-checks", body);
    expect(receipt.clearance.decision).toBe("do-not-ride");
    expect(receipt.check.flags).toEqual(expect.arrayContaining(flags));
    expect(await standingOf(machineId)).toBe("grounded");
    app.context.clock.advance(60_000);
    expect(await post("R001", "/v1/daily-checks", body, 200)).toEqual(receipt);
    await post("R002", "/v1/daily-checks", body, 422, "id-reused");
    const { state } = (await expectAnswer((await as("R001")).get("/v1/field-kit").query({ machineId }), 200)).items[0];
    expect(state.odometerKm).toBe(1000);
  });

  test("from a day before the machine was in service, flagged", async () => {
    const machineId = await addTestMachine(app);
    const dayBefore = new Date(app.context.clock.now().getTime() - 24 * 3_600_000).toISOString();
    const { check } = await post("R001", "/v1/daily-checks", onBody({ performedAt: dayBefore })(checkFinding(app, machineId, cords)));
    expect(check.flags).toContain("before-service");
    expect(await standingOf(machineId)).toBe("grounded");
    const today = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, cords));
    expect(today.check.flags).not.toContain("before-service");
  });

  test("as it was sent is kept in the record, beside what was made of it", async () => {
    const machineId = await addTestMachine(app);
    const { check } = await post("R001", "/v1/daily-checks", onBody({ odometerKm: 9_000_123 })(checkFinding(app, machineId, cords)));
    expect(check.odometerKm).toBe(1000);
    const { record } = await expectAnswer((await as("A001")).get(`/v1/records/${check.id}`), 200);
    expect(record.data.asSent.parts).toEqual([{ pointer: "/odometerKm", was: "9000123" }]);
  });

  test("a minor one is kept too, but a check of which nobody knows when it was made clears nobody", async () => {
    const machineId = await addTestMachine(app);
    const minor = { ...checkFinding(app, machineId, "horn.weak"), performedAt: "this morning" };
    const { clearance } = await post("R001", "/v1/daily-checks", minor);
    expect([clearance.decision, clearance.reasons.map(({ code }: { code: string }) => code)]).toEqual([
      "do-not-ride",
      ["check-unreadable", "minor-defect"],
    ]);
    const { clearance: next } = await post("R001", "/v1/daily-checks", { ...checkFinding(app, machineId, "horn.weak"), odometerKm: -1 });
    expect(next.decision).toBe("ride-with-defects");
  });

  test("a body of the same id that was wrong in another way stands for something else", async () => {
    const machineId = await addTestMachine(app);
    const body = checkFinding(app, machineId, cords);
    await post("R001", "/v1/daily-checks", { ...body, odometerKm: -1 });
    await post("R001", "/v1/daily-checks", { ...body, odometerKm: -2 }, 422, "id-reused");
    await post("R001", "/v1/daily-checks", body, 422, "id-reused");
  });

  test("in a report with any of it", async () => {
    const machineId = await addTestMachine(app);
    const body = {
      ...reportOf(app, machineId, cords),
      seenAt: "now",
      photoIds: photos(12),
      note: "\tcords\u0007 \ud800",
      extra: { deep: [1] },
    };
    const receipt = await post("R001", "/v1/defects", body);
    expect(receipt.flags.toSorted()).toEqual(["field-unknown", "photo-awaited", "photos-left-out", "time-unreadable"]);
    expect(await standingOf(machineId)).toBe("grounded");
    expect(await post("R001", "/v1/defects", body, 200)).toEqual(receipt);
    const shown = await expectAnswer((await as("M001")).get(`/v1/defects/${receipt.defect.id}`), 200);
    expect(shown.note).toBe("cords \ufffd");
  });

  test("in a report that came late, or from a clock that is ahead, and the report says which", async () => {
    const sentBy = async (hours: number) => {
      const seenAt = new Date(app.context.clock.now().getTime() + hours * 3_600_000).toISOString();
      const machineId = await addTestMachine(app);
      const { flags } = await post("R001", "/v1/defects", { ...reportOf(app, machineId, cords), seenAt });
      expect(await standingOf(machineId)).toBe("grounded");
      return flags;
    };
    expect([await sentBy(-72), await sentBy(0), await sentBy(5)]).toEqual([["arrived-late", "before-service"], [], ["clock-ahead"]]);
  });

  test("in an inspection with any of it", async () => {
    const machineId = await addTestMachine(app);
    const body = inspectionOf(app, machineId);
    const answers = body.answers.map((answer) =>
      answer.itemId === "front-spokes"
        ? { ...answer, result: "defect", observationIds: ["front-spokes.broken"], photoIds: photos(11), note: "x".repeat(3000) }
        : answer,
    );
    const { inspection } = await post("M001", "/v1/weekly-inspections", { ...body, answers, odometerKm: 1e9, durationSeconds: -1 });
    expect(inspection.flags).toEqual(
      expect.arrayContaining(["odometer-unreadable", "photos-left-out", "text-clipped", "duration-unreadable"]),
    );
    expect(await standingOf(machineId)).toBe("grounded");
  });
});

describe("is asked for again, with the place and the reason", () => {
  test("a check that found nothing", async () => {
    const machineId = await addTestMachine(app);
    const { issues } = await post("R001", "/v1/daily-checks", { ...nilCheckOf(app, machineId), odometerKm: 9_000_123 }, 422, "not-valid");
    expect(issues).toEqual([{ pointer: "/odometerKm", message: "must be 2000000 or less" }]);
    expect(await standingOf(machineId)).toBe("unchecked");
  });

  test("what is about no machine, or tells of nothing that can be read", async () => {
    const machineId = await addTestMachine(app);
    await post("R001", "/v1/daily-checks", { ...checkFinding(app, machineId, cords), machineId: "x" }, 422, "not-valid");
    await post("R001", "/v1/daily-checks", { ...checkFinding(app, machineId, cords), machineId: randomUUID() }, 404, "not-found");
    await post("R001", "/v1/defects", { id: randomUUID(), machineId, seenAt: "?", note: {} }, 422, "not-valid");
    await post("R001", "/v1/defects", '{"id"', 400, "not-json");
    // Nested deeper than anybody writes.
    const deep = `{"machineId":"${machineId}","note":"x","more":${"[".repeat(100_000)}${"]".repeat(100_000)}}`;
    await post("R001", "/v1/defects", deep, 422, "not-valid");
  });
});

test("a tab in a text is no reason to refuse it anywhere: it is kept as a space", async () => {
  const machineId = await addTestMachine(app);
  const answers = nilAnswers(chainMachine).map((answer) => (answer.itemId === "horn" ? { ...answer, note: "loud\tenough\r\n!" } : answer));
  const { check } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId, { answers }));
  expect(check.answers.find(({ itemId }: { itemId: string }) => itemId === "horn").note).toBe("loud enough\n!");
  const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "horn.silent"));
  await post("M001", `/v1/defects/${defect.id}/repairs`, repairOf(app, { workDone: "New\thorn\u0000" }));
  const shown = await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200);
  expect(shown.course.at(-1).data.submitted.workDone).toBe("New horn");
});

test("and every state can be rebuilt from its records", () => expectAgreement(app.context));
