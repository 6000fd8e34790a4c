// A machine that was sold or scrapped, over HTTP: it leaves boards, lists and totals, its history and a past board still show it, its mark
// is free, nothing is decided about it any more, and a mistake is undone.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { expectAgreement } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { chainOf } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const now = () => app.context.clock.now().toISOString();
const tick = (minutes = 1) => app.context.clock.advance(minutes * minute);
const get = async (path: string, who = "F001") => expectAnswer((await as(who)).get(path), 200);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const amend = async (id: string, body: object, status = 200, code?: string) =>
  expectAnswer((await as("F001")).patch(`/v1/machines/${id}`).send(body), status, code);
const sell = async (id: string, how = "sold") => {
  tick();
  const machine = await amend(id, { disposed: { how } });
  tick();
  return machine;
};
const marks = (items: readonly { registrationMark: string }[]) => items.map(({ registrationMark }) => registrationMark);
const board = async (at?: string) => get(`/v1/readiness${at === undefined ? "" : `?at=${at}`}`, "M001");
const newMark = () => `S${randomUUID().slice(0, 7)}`.toUpperCase();

describe("a machine that was sold", () => {
  test("is on no board, list, plan or phone any more, and a past board has it as it stood", async () => {
    const mark = newMark();
    const id = await addTestMachine(app, { mark });
    tick();
    const before = now();
    const totals = (await board()).totals;
    const answer = await sell(id);
    expect(answer).toMatchObject({ standing: "withdrawn", reasons: [{ code: "sold", text: expect.stringContaining("Sold on") }] });
    const after = await board();
    expect(marks(after.machines)).not.toContain(mark);
    expect(after.totals).toEqual({ ...totals, unchecked: totals.unchecked - 1 });
    const then = await board(before);
    expect([marks(then.machines).includes(mark), then.totals]).toEqual([true, totals]);
    expect(marks((await get("/v1/machines?limit=200")).items)).not.toContain(mark);
    expect(marks((await get("/v1/field-kit?limit=200", "M001")).items)).not.toContain(mark);
    const plan = await get(`/v1/readiness/plan?depotId=${app.cast.homeDepotId}`);
    expect(JSON.stringify(plan)).not.toContain(mark);
    expect(JSON.stringify(await get("/v1/insight/risk"))).not.toContain(mark);
  });

  test("is told to a phone that has it, with the reason", async () => {
    const mark = newMark();
    const id = await addTestMachine(app, { mark });
    tick();
    const since = now();
    await sell(id, "scrapped");
    const { items } = await get(`/v1/field-kit?since=${since}`, "R001");
    expect(items).toMatchObject([{ registrationMark: mark, state: { disposed: { how: "scrapped" } } }]);
  });

  test("keeps its page and history, and is found where somebody asks for those that left", async () => {
    const mark = newMark();
    const id = await addTestMachine(app, { mark });
    await sell(id);
    expect((await get(`/v1/machines/${id}`)).registrationMark).toBe(mark);
    const { items } = await get(`/v1/machines/${id}/history`);
    expect(items.map(({ kind }: { kind: string }) => kind)).toEqual(["machine-disposed", "weekly-inspection", "machine-added"]);
    expect(marks((await get(`/v1/machines?disposed=only&mark=${mark}`)).items)).toEqual([mark]);
    expect(marks((await get(`/v1/machines?disposed=too&limit=200`)).items)).toContain(mark);
    expect((await get(`/v1/machines?mark=${mark}`)).items).toEqual([]);
  });

  test("records it once, with how and why, however often it is asked", async () => {
    const id = await addTestMachine(app);
    await amend(id, { disposed: { how: "sold", note: "To a riding school" } });
    await amend(id, { disposed: { how: "sold" } });
    const chain = await chainOf(app.context.db, id);
    expect(chain.at(-1)).toMatchObject({ kind: "machine-disposed", data: { how: "sold", note: "To a riding school" } });
    expect(chain).toHaveLength(3);
    await amend(id, { disposed: { how: "scrapped" } }, 409, "machine-disposed");
    await expectAgreement(app.context);
  });
});

describe("its mark", () => {
  test("is free for another machine, which is the one that is found by it; at an earlier moment the one that had it then", async () => {
    const mark = newMark();
    const first = await addTestMachine(app, { mark });
    tick();
    const then = now();
    await sell(first);
    const second = await addTestMachine(app, { mark });
    const found = async (query: string) => (await get(`/v1/machines?mark=${mark}${query}`)).items.map(({ id }: { id: string }) => id);
    expect(await found("")).toEqual([second]);
    expect(await found(`&at=${then}`)).toEqual([first]);
    expect(await found(`&at=${now()}`)).toEqual([second]);
    expect((await found("&disposed=too")).sort()).toEqual([first, second].sort());
    await expectAnswer((await as("F001")).get(`/v1/machines?at=${then}`), 422, "not-valid");
    // One of the fleet keeps it for itself.
    const body = (await get(`/v1/machines/${second}`)) as { modelId: string; depotId: string };
    const another = { registrationMark: mark, modelId: body.modelId, depotId: body.depotId, odometerKm: 1, inServiceFrom: "2026-07-01" };
    await post("F001", "/v1/machines", another, 409, "mark-taken");
  });

  test("is free for an import too", async () => {
    const mark = newMark();
    const first = await addTestMachine(app, { mark });
    await sell(first);
    const file = `registrationMark,model,depot,odometerKm,inServiceFrom\n${mark},Test model,Home,10,2026-07-01\n`;
    const send = async (status: number, code?: string) =>
      expectAnswer((await as("F001")).post("/v1/machines/import").set("content-type", "text/csv").send(file), status, code);
    const [row] = (await send(201)).rows;
    expect(row).toMatchObject({ registrationMark: mark });
    expect(row.machineId).not.toBe(first);
    await send(422, "import-refused");
  });

  test("pages of a list hold both machines of one mark once each", async () => {
    const mark = newMark();
    await sell(await addTestMachine(app, { mark }));
    await sell(await addTestMachine(app, { mark }));
    const seen: string[] = [];
    for (let cursor: string | null = ""; cursor !== null; ) {
      const query: string = cursor === "" ? "" : `&cursor=${encodeURIComponent(cursor)}`;
      const page: { items: { id: string }[]; nextCursor: string | null } = await get(
        `/v1/machines?disposed=only&limit=1&mark=${mark}${query}`,
      );
      seen.push(...page.items.map(({ id }) => id));
      cursor = page.nextCursor;
    }
    expect([seen.length, new Set(seen).size]).toEqual([2, 2]);
  });
});

describe("what arrives about a machine that was sold", () => {
  test("a check is kept and clears nobody; an inspection is kept and changes nothing of that", async () => {
    const id = await addTestMachine(app);
    const before = nilCheckOf(app, id);
    await sell(id);
    for (const body of [before, nilCheckOf(app, id)]) {
      const { clearance } = await post("R001", "/v1/daily-checks", body);
      expect([clearance.decision, clearance.reasons[0].code]).toEqual(["do-not-ride", "sold"]);
    }
    expect((await post("M001", "/v1/weekly-inspections", inspectionOf(app, id))).standing).toBe("withdrawn");
    await expectAgreement(app.context);
  });

  test("its open defects stay as they stood, off the bench's list, and nothing is decided about them", async () => {
    const id = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, id, "front-brake-cable.frayed"));
    const defectId = defects[0].id;
    const doneBefore = now();
    await sell(id);
    const open = async (query: string) =>
      (await get(`/v1/defects?status=open,deferred,repaired&limit=200${query}`, "M001")).items.map((one: { id: string }) => one.id);
    expect(await open("")).not.toContain(defectId);
    expect(await open(`&machineId=${id}`)).toEqual([defectId]);
    const path = `/v1/defects/${defectId}`;
    const work = { workDone: "New cable", parts: [{ name: "Cable", quantity: 1 }] };
    await post("M001", `${path}/repairs`, { id: randomUUID(), performedAt: now(), ...work }, 409, "machine-disposed");
    await post("M002", `${path}/sign-off`, { id: randomUUID() }, 409, "machine-disposed");
    await post("M001", `${path}/regrades`, { id: randomUUID(), category: "minor", reason: "Hardly" }, 409, "machine-disposed");
    expect((await get(path, "M001")).status).toBe("open");
    // What was done while it was here still arrives.
    await post("M001", `${path}/repairs`, { id: randomUUID(), performedAt: doneBefore, ...work });
    expect((await get(path, "M001")).status).toBe("repaired");
    await expectAgreement(app.context);
  });

  test("its papers and particulars stay as they stood", async () => {
    const id = await addTestMachine(app);
    const paper = { kind: "insurance", number: "P-1", validFrom: "2026-01-01", validTo: "2027-01-01" };
    const { id: paperId } = await post("F001", `/v1/machines/${id}/papers`, paper);
    await sell(id);
    await post("F001", `/v1/machines/${id}/papers`, paper, 409, "machine-disposed");
    await post("F001", `/v1/papers/${paperId}/ending`, { day: "2026-08-01", reason: "cancelled" }, 409, "machine-disposed");
    await amend(id, { withdrawn: { reason: "Stored" } }, 409, "machine-disposed");
    await amend(id, { registrationMark: newMark() }, 409, "machine-disposed");
    expect((await get(`/v1/machines/${id}/papers`)).items).toMatchObject([{ id: paperId, ending: null }]);
  });

  test("it is given to no rider", async () => {
    const id = await addTestMachine(app);
    await post("R001", "/v1/daily-checks", nilCheckOf(app, id));
    await sell(id);
    const day = now().slice(0, 10);
    const path = `/v1/allocations/${app.cast.homeDepotId}/${day}`;
    const kept = { allocations: [{ staffId: app.cast.staffId("R001"), machineId: id }] };
    await expectAnswer((await as("F001")).put(path).send(kept), 422, "allocation-wrong");
  });
});

describe("a sale by mistake", () => {
  test("is undone: the machine is back with its defects, and an inspection comes before its next ride", async () => {
    const mark = newMark();
    const id = await addTestMachine(app, { mark });
    await post("R001", "/v1/daily-checks", checkFinding(app, id, "bodywork.mirror-cracked"));
    await sell(id);
    const back = await amend(id, { disposed: null });
    expect([back.standing, back.reasons[0].code]).toEqual(["inspection-overdue", "return-inspection"]);
    expect(marks((await board()).machines)).toContain(mark);
    expect((await chainOf(app.context.db, id)).at(-1)).toMatchObject({ kind: "machine-reinstated", data: { how: "sold" } });
    tick();
    expect((await post("M001", "/v1/weekly-inspections", inspectionOf(app, id))).standing).not.toBe("withdrawn");
    await expectAgreement(app.context);
  });

  test("comes back under another mark where its own was taken meanwhile", async () => {
    const mark = newMark();
    const id = await addTestMachine(app, { mark });
    await sell(id);
    await addTestMachine(app, { mark });
    const refused = await amend(id, { disposed: null }, 409, "mark-taken");
    expect(refused.detail).toContain(mark);
    const other = newMark();
    expect(await amend(id, { disposed: null, registrationMark: other })).toMatchObject({ registrationMark: other });
  });
});
