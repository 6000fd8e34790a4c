// Campaigns: what one opens on each machine that it covers, what may be done with that, what comes later, who sees what, and what is refused.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { CampaignJob, CampaignWithProgress } from "../../shared/contracts/campaigns.ts";
import type { DefectWithCourse } from "../../shared/contracts/defects.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { openJobs } from "../../src/campaigns/open-jobs.ts";
import { recordCampaign } from "../../src/campaigns/record-campaign.ts";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { testModel } from "../support/machines.ts";
import { inspectionOf } from "../support/sheets.ts";
import { chainOf } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const today = () => app.context.clock.now().toISOString().slice(0, 10);
const dayIn = (days: number): string => addDays(today(), days);
const get = async (path: string, who = "F001", status = 200, code?: string) => expectAnswer((await as(who)).get(path), status, code);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);

/** A model of its own, so that campaigns of other tests do not cover its machines. */
const addModel = async (): Promise<string> => (await post("F001", "/v1/models", testModel(`Model ${randomUUID().slice(0, 8)}`))).id;
const addMachine = async (
  modelId: string,
  { depotId = app.cast.homeDepotId, mark = `C${randomUUID().slice(0, 7)}`, inspected = false } = {},
) => {
  const body = { registrationMark: mark, modelId, depotId, odometerKm: 1000, inServiceFrom: today() };
  const { id } = await post("F001", "/v1/machines", body);
  if (inspected) await post("M001", "/v1/weekly-inspections", inspectionOf(app, id));
  return id as string;
};
const bodyOf = (changes: object = {}) => ({
  ...{ id: randomUUID(), name: "Stand bolts", job: "Tighten both bolts of the stand", grounds: true, dueDay: dayIn(10) },
  ...changes,
});
const add = (changes: object, who = "F001"): Promise<CampaignWithProgress> => post(who, "/v1/campaigns", bodyOf(changes));
const show = (id: string, who = "F001"): Promise<CampaignWithProgress> => get(`/v1/campaigns/${id}`, who);
const jobAt = ({ progress }: CampaignWithProgress, machineId: string): CampaignJob => {
  const job = progress.find((one) => one.machineId === machineId);
  if (!job) throw new Error("the campaign has no job at this machine");
  return job;
};
const defectAt = async (campaign: CampaignWithProgress, machineId: string): Promise<DefectWithCourse> =>
  get(`/v1/defects/${jobAt(campaign, machineId).defectId}`);
const act = (who: string, defectId: string | null, verb: string, body: object, status = 201, code?: string) =>
  post(who, `/v1/defects/${defectId}/${verb}`, { id: randomUUID(), ...body }, status, code);

describe("adding", () => {
  test("opens one job on every machine of a model, in the records of the machine, and grounds each until it is signed off", async () => {
    const modelId = await addModel();
    const [one, other] = [await addMachine(modelId, { mark: "CAMP1", inspected: true }), await addMachine(modelId, { mark: "CAMP2" })];
    const added = await add({ modelIds: [modelId], name: "Brake hose" });
    expect(added).toMatchObject({
      ...{ name: "Brake hose", grounds: true, depots: null, ended: null, machines: [] },
      models: [{ id: modelId }],
      totals: { machines: 2, open: 2, done: 0, late: 0, grounded: 2 },
    });
    expect(added.progress.map(({ registrationMark, state }) => [registrationMark, state])).toEqual([
      ["CAMP1", "open"],
      ["CAMP2", "open"],
    ]);
    const defect = await defectAt(added, one);
    expect(defect).toMatchObject({
      ...{ origin: "campaign", originId: added.id, campaign: { id: added.id, name: "Brake hose" }, itemId: null, observationIds: [] },
      ...{ note: "Tighten both bolts of the stand", category: "major", dueDay: null, grounds: true, reportedBy: app.cast.staffId("F001") },
    });
    const line = await onBoard(as, one);
    expect(line.standing).toBe("grounded");
    expect(line.reasons[0]).toMatchObject({
      ...{ code: "grounding-defect", defectId: defect.id, campaign: "Brake hose", campaignId: added.id },
      text: "Campaign: Brake hose. Every machine that it covers stands still until its job is done here and signed off",
    });
    const raised = (await chainOf(app.context.db, other)).filter(({ kind }) => kind === "defect-raised");
    expect(raised).toHaveLength(1);
    const firm = (await chainOf(app.context.db, null)).at(-1);
    expect(firm).toMatchObject({ kind: "campaign-added", data: { submitted: { id: added.id }, depotIds: null, machines: 2 } });

    await act("M001", defect.id, "repairs", repairOf(app));
    expect(jobAt(await show(added.id), one)).toMatchObject({ state: "repaired", grounded: true });
    app.context.clock.advance(60_000);
    await act("M002", defect.id, "sign-off", {});
    const after = await show(added.id);
    expect(after.totals).toMatchObject({ machines: 2, open: 1, done: 1, grounded: 1 });
    expect(jobAt(after, one)).toMatchObject({ state: "done", doneDay: today(), doneBy: "Person M002", grounded: false });
    expect((await onBoard(as, one)).standing).not.toBe("grounded");
  });

  test("about an item of the sheets takes that item's competence and second person; an item that no sheet has is refused", async () => {
    const machineId = await addMachine(await addModel());
    const body = bodyOf({ machineIds: [machineId], itemId: "front-brake-cable" });
    const added = await post("F001", "/v1/campaigns", body);
    expect(added.itemId).toBe("front-brake-cable");
    const { id } = await defectAt(added, machineId);
    await post("M003", `/v1/defects/${id}/not-found`, { id: randomUUID(), reason: "Looked at" }, 403, "competence-missing");
    await act("M001", id, "repairs", repairOf(app));
    app.context.clock.advance(60_000);
    await post("M001", `/v1/defects/${id}/sign-off`, { id: randomUUID() }, 403, "second-person-needed");
    await act("M002", id, "sign-off", {});
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    const unknown = await post("F001", "/v1/campaigns", bodyOf({ machineIds: [machineId], itemId: "rider-gear" }), 422, "not-valid");
    expect(unknown.issues).toMatchObject([{ pointer: "/itemId" }]);
  });

  test("the same again is answered with its progress and opens nothing anew; the same id with another body is refused", async () => {
    const modelId = await addModel();
    const machineId = await addMachine(modelId);
    const body = bodyOf({ modelIds: [modelId] });
    await post("F001", "/v1/campaigns", body);
    const again = await post("F001", "/v1/campaigns", body, 200);
    expect(again.totals).toMatchObject({ machines: 1, open: 1 });
    await post("F001", "/v1/campaigns", { ...body, name: "Another" }, 422, "id-reused");
    expect((await chainOf(app.context.db, machineId)).filter(({ kind }) => kind === "defect-raised")).toHaveLength(1);
  });

  test("two at once with one id are one campaign", async () => {
    const modelId = await addModel();
    await addMachine(modelId);
    const body = bodyOf({ modelIds: [modelId] });
    const manager = await as("F001");
    const answers = await Promise.all([manager.post("/v1/campaigns").send(body), manager.post("/v1/campaigns").send(body)]);
    expect(answers.map(({ status }) => status).sort((one, other) => one - other)).toEqual([200, 201]);
  });

  test("takes single machines, also withdrawn ones, beside models", async () => {
    const [modelId, otherModel] = [await addModel(), await addModel()];
    const [ofModel, single] = [await addMachine(modelId), await addMachine(otherModel)];
    await expectAnswer((await as("F001")).patch(`/v1/machines/${single}`).send({ withdrawn: { reason: "Winter" } }), 200);
    const added = await add({ modelIds: [modelId], machineIds: [single] });
    expect(added.progress.map(({ machineId }) => machineId).sort()).toEqual([ofModel, single].sort());
    expect(added.machines).toMatchObject([{ id: single }]);
  });

  test("refuses what covers nothing, is unknown, sold, or over, and stores nothing of it", async () => {
    const modelId = await addModel();
    const before = (await chainOf(app.context.db, null)).length;
    await post("F001", "/v1/campaigns", bodyOf({ modelIds: [modelId] }), 422, "campaign-covers-nothing");
    await post("F001", "/v1/campaigns", bodyOf(), 422, "not-valid");
    await post("F001", "/v1/campaigns", bodyOf({ modelIds: [], machineIds: [] }), 422, "not-valid");
    const machineId = await addMachine(modelId);
    await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ disposed: { how: "sold" } }), 200);
    const wrong = bodyOf({ modelIds: [randomUUID()], machineIds: [randomUUID(), machineId] });
    expect((await post("F001", "/v1/campaigns", wrong, 422, "not-valid")).issues).toEqual([
      { pointer: "/modelIds/0", message: "is the id of no model" },
      { pointer: "/machineIds/0", message: "is the id of no machine" },
      { pointer: "/machineIds/1", message: "was sold or scrapped" },
    ]);
    const late = bodyOf({ machineIds: [await addMachine(modelId)], dueDay: dayIn(-1) });
    expect((await post("F001", "/v1/campaigns", late, 422, "not-valid")).issues).toEqual([{ pointer: "/dueDay", message: "is over" }]);
    for (const who of ["M001", "A001", "R001"]) await post(who, "/v1/campaigns", bodyOf({ modelIds: [modelId] }), 403, "not-your-role");
    expect((await chainOf(app.context.db, null)).filter(({ kind }) => kind === "campaign-added").length).toBeLessThan(before);
    expect(
      (await get("/v1/campaigns")).items.filter(({ models }: CampaignWithProgress) => models.some(({ id }) => id === modelId)),
    ).toEqual([]);
  });
});

describe("the campaign decides", () => {
  test("a job that may be ridden until the last day is neither weighed anew nor put off, waits no longer, and no inspection brings it forward", async () => {
    const modelId = await addModel();
    const machineId = await addMachine(modelId, { inspected: true });
    const added = await add({ modelIds: [modelId], grounds: false, dueDay: dayIn(20) });
    const { id } = await defectAt(added, machineId);
    app.context.clock.advance(60_000);
    await post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
    expect(await defectAt(added, machineId)).toMatchObject({ category: "minor", dueDay: dayIn(20), status: "open" });
    expect((await onBoard(as, machineId)).reasons.map(({ text }) => text)).toContain(
      `Campaign: Stand bolts. Its job is to be done by ${dayIn(20)}; the machine may be ridden until then`,
    );
    await act("M001", id, "regrades", { category: "major", reason: "Worse" }, 409, "campaign-decides");
    await act("M001", id, "deferral", { untilDay: dayIn(3), reason: "Busy" }, 409, "campaign-decides");
    await act("M001", id, "waiting", { part: "Bolts", reason: "Tight", expectedDay: dayIn(21) }, 422, "wait-past-campaign");
    await act("M001", id, "waiting", { part: "Bolts", reason: "Tight", expectedDay: dayIn(6) });
    expect(jobAt(await show(added.id), machineId)).toMatchObject({ state: "waiting", expectedDay: dayIn(6), grounded: false });
    expect(await defectAt(added, machineId)).toMatchObject({ dueDay: dayIn(20) });
  });

  test("after the last day what is not done is late, and grounds; nothing found closes it", async () => {
    const modelId = await addModel();
    const machineId = await addMachine(modelId);
    const added = await add({ modelIds: [modelId], grounds: false, dueDay: dayIn(2) });
    app.context.clock.advance(3 * 86_400_000);
    const late = await show(added.id);
    expect(late.totals).toMatchObject({ late: 1, grounded: 1 });
    expect((await onBoard(as, machineId)).reasons[0]).toMatchObject({ code: "minor-defect-overdue", campaign: "Stand bolts" });
    await act("M001", jobAt(late, machineId).defectId, "not-found", { reason: "Both bolts are tight" });
    expect(jobAt(await show(added.id), machineId)).toMatchObject({
      state: "nothing-found",
      late: false,
      grounded: false,
      doneDay: today(),
    });
  });

  test("what a rider sees later, and names no item for, is a defect of its own", async () => {
    const modelId = await addModel();
    const machineId = await addMachine(modelId);
    const added = await add({ modelIds: [modelId] });
    const seen = { ...reportOf(app, machineId, "horn.weak"), observationIds: undefined, note: "The stand rattles" };
    const { sighting, defect } = await post("R001", "/v1/defects", seen);
    expect([sighting, defect.id === jobAt(added, machineId).defectId]).toEqual([false, false]);
  });
});

describe("what comes later, and what was left half done", () => {
  test("a process that dies before its jobs are open, or in the middle of them, leaves what the next look makes up for, once", async () => {
    const modelId = await addModel();
    const machines = [await addMachine(modelId), await addMachine(modelId), await addMachine(modelId)];
    const body = bodyOf({ modelIds: [modelId] });
    await recordCampaign(app.context, { staffId: app.cast.staffId("F001"), depotIds: null }, body);
    expect((await show(body.id)).progress.map(({ defectId, state }) => [defectId, state])).toEqual(machines.map(() => [null, "open"]));
    // As two processes that look at the same moment.
    const opened = await Promise.all([openJobs(app.context), openJobs(app.context)]);
    expect(opened[0] + opened[1]).toBe(3);
    for (const machineId of machines)
      expect((await chainOf(app.context.db, machineId)).filter(({ kind }) => kind === "defect-raised")).toHaveLength(1);
    expect(await openJobs(app.context)).toBe(0);
  });

  test("a machine that is added, comes to the model, or is of the fleet again is covered; one that was sold with its job open has left", async () => {
    const [modelId, otherModel] = [await addModel(), await addModel()];
    const [first, comes] = [await addMachine(modelId), await addMachine(otherModel)];
    const amend = async (id: string, body: object) => expectAnswer((await as("F001")).patch(`/v1/machines/${id}`).send(body), 200);
    const back = await addMachine(modelId);
    await amend(back, { disposed: { how: "sold" } });
    const added = await add({ modelIds: [modelId] });
    expect(added.progress.map(({ machineId }) => machineId)).toEqual([first]);
    const late = await addMachine(modelId);
    await amend(comes, { modelId });
    await amend(back, { disposed: null });
    expect(await openJobs(app.context)).toBe(3);
    expect((await show(added.id)).totals).toMatchObject({ machines: 4, open: 4 });
    await amend(late, { disposed: { how: "scrapped" } });
    const after = await show(added.id);
    expect(jobAt(after, late)).toMatchObject({ state: "left", late: false, grounded: false });
    expect(after.totals).toMatchObject({ left: 1, open: 3 });
  });
});

describe("ending", () => {
  test("covers no further machine and leaves open what is open; the same again is answered, another is refused", async () => {
    const modelId = await addModel();
    const machineId = await addMachine(modelId);
    const added = await add({ modelIds: [modelId] });
    const path = `/v1/campaigns/${added.id}/ending`;
    const body = { id: randomUUID(), reason: "Withdrawn by the maker" };
    await post("M001", path, body, 403, "not-your-role");
    const ended = await post("F001", path, body);
    expect(ended.ended).toMatchObject({ staffId: app.cast.staffId("F001"), reason: "Withdrawn by the maker" });
    await post("F001", path, body, 200);
    await post("F001", path, { ...body, reason: "Another" }, 422, "id-reused");
    await post("F001", path, { ...body, id: randomUUID() }, 409, "campaign-ended");
    await addMachine(modelId);
    expect(await openJobs(app.context)).toBe(0);
    const after = await show(added.id);
    expect(after.totals).toMatchObject({ machines: 1, open: 1, grounded: 1 });
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const of = async (state: string) => (await get(`/v1/campaigns?state=${state}`)).items.map(({ id }: CampaignWithProgress) => id);
    expect([(await of("running")).includes(added.id), (await of("ended")).includes(added.id)]).toEqual([false, true]);
    await act("M001", jobAt(after, machineId).defectId, "not-found", { reason: "The maker withdrew it" });
    expect((await onBoard(as, machineId)).standing).not.toBe("grounded");
  });
});

describe("depots", () => {
  test("a manager of one depot covers its machines alone, names no others, and everybody sees the machines of their own depots", async () => {
    const modelId = await addModel();
    const [home, away] = [await addMachine(modelId), await addMachine(modelId, { depotId: app.cast.farDepotId })];
    await post("F101", "/v1/campaigns", bodyOf({ machineIds: [home] }), 403, "other-depot");
    const local = await add({ modelIds: [modelId] }, "F101");
    expect(local.progress.map(({ machineId }) => machineId)).toEqual([away]);
    expect(local.depots).toMatchObject([{ id: app.cast.farDepotId }]);
    expect((await get("/v1/campaigns", "F101")).items.map(({ id }: CampaignWithProgress) => id)).toContain(local.id);
    const ofHome = await add({ machineIds: [home] });
    await get(`/v1/campaigns/${ofHome.id}`, "F101", 403, "other-depot");
    expect((await get("/v1/campaigns", "F101")).items.map(({ id }: CampaignWithProgress) => id)).not.toContain(ofHome.id);

    const all = await add({ modelIds: [modelId] });
    expect(all.totals.machines).toBe(2);
    const mine = await show(all.id, "F101");
    expect([mine.progress.map(({ machineId }) => machineId), mine.totals.machines]).toEqual([[away], 1]);
    await post("F101", `/v1/campaigns/${all.id}/ending`, { id: randomUUID(), reason: "Enough" }, 403, "other-depot");
    await post("F101", `/v1/campaigns/${local.id}/ending`, { id: randomUUID(), reason: "Enough" });
  });
});
