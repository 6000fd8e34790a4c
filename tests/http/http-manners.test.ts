// What a program that calls the service relies on beside the answers: where a made thing lives, whose change would be lost, what a refusal means.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { de } from "../../shared/words/de.ts";
import { allErrors } from "../../src/rooms.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const manager = () => as("F001");
const getIt = async (path: string) => (await manager()).get(path).expect(200);

describe("Location", () => {
  test("of what was made names the address at which it is read", async () => {
    const machineId = await addTestMachine(app);
    const [rider, mechanic] = [await as("R001"), await as("M001")];
    const { modelId } = (await getIt(`/v1/machines/${machineId}`)).body;
    const made = [
      await mechanic.post("/v1/weekly-inspections").send(inspectionOf(app, machineId)),
      await rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)),
      await rider.post("/v1/defects").send(reportOf(app, machineId, "horn.weak")),
      await (await manager()).post("/v1/depots").send({ name: "Made", timeZone: "Europe/London" }),
      await (await manager())
        .post("/v1/staff")
        .send({ staffNumber: "R900", name: "Made", role: "rider", depotIds: [app.cast.homeDepotId] }),
      await (await manager()).post("/v1/machines").send({
        ...{ registrationMark: "MADE 1", modelId, depotId: app.cast.homeDepotId, odometerKm: 1, inServiceFrom: "2026-01-01" },
      }),
    ];
    for (const answer of made) {
      expect([answer.status, answer.body.detail]).toEqual([201, undefined]);
      const said = answer.headers["location"] as string;
      const reader = said.startsWith("/v1/weekly") ? mechanic : said.startsWith("/v1/daily") ? rider : await manager();
      expect((await reader.get(said)).status, said).toBe(200);
    }
    expect(new Set(made.map(({ headers }) => headers["location"])).size).toBe(made.length);
  });
});

describe("If-Match", () => {
  const places = async () => {
    const machineId = await addTestMachine(app);
    const { modelId } = (await getIt(`/v1/machines/${machineId}`)).body;
    const { revision, id: _, addedAt: __, ...figures } = (await getIt(`/v1/models/${modelId}`)).body;
    const named = (name: string) => ({ ...figures, revision, name });
    return [
      {
        path: `/v1/machines/${machineId}`,
        method: "patch",
        change: (n: number) => ({ registrationMark: `TAG${machineId.slice(-5)}${n}` }),
      },
      { path: `/v1/depots/${app.cast.homeDepotId}`, method: "patch", change: (n: number) => ({ workshopHoursPerDay: 3 + n }) },
      { path: `/v1/staff/${app.cast.staffId("R001")}`, method: "patch", change: (n: number) => ({ name: `Person ${n}` }) },
      { path: "/v1/policy", method: "patch", change: (n: number) => ({ minorDefectDays: 3 + n }) },
      { path: `/v1/models/${modelId}`, method: "put", change: (n: number) => ({ ...named(`Model ${n}`), revision: revision + n - 1 }) },
    ] as const;
  };

  test("takes the tag that was read, and refuses a change that would undo one by somebody else; nothing is lost by it", async () => {
    for (const { path, method, change } of await places()) {
      const send = async (n: number, tag?: string) => {
        const call = (await manager())[method](path);
        return (tag === undefined ? call : call.set("if-match", tag)).send(change(n));
      };
      const { etag } = (await getIt(path)).headers as { etag: string };
      expect(etag, path).toMatch(/^"[0-9a-f]{32}"$/);
      const first = await send(1, etag);
      expect([first.status, first.body.detail], path).toEqual([200, undefined]);
      expect(first.headers["etag"], path).not.toBe(etag);
      expect((await getIt(path)).headers["etag"], path).toBe(first.headers["etag"]);
      const late = await send(2, etag);
      expect([late.status, late.body.code, late.headers["etag"]], path).toEqual([412, "changed-meanwhile", first.headers["etag"]]);
      expect((await getIt(path)).headers["etag"], path).toBe(first.headers["etag"]);
      expect((await send(2, `W/"x", ${first.headers["etag"]}`)).status, path).toBe(200);
      expect((await send(3, "*")).status, path).toBe(200);
      expect((await send(4)).status, path).toBe(200);
      const unread = await send(5, "no tag");
      expect([unread.status, unread.body.issues[0].pointer], path).toEqual([422, "/headers/if-match"]);
    }
  });

  test("a check does not make the manager's tag of a machine stale, a withdrawal does", async () => {
    const machineId = await addTestMachine(app);
    const tag = async () => (await getIt(`/v1/machines/${machineId}`)).headers["etag"];
    const before = await tag();
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send({ ...nilCheckOf(app, machineId), odometerKm: 1010 }), 201);
    expect(await tag()).toBe(before);
    await expectAnswer((await manager()).patch(`/v1/machines/${machineId}`).send({ withdrawn: { reason: "sold" } }), 200);
    expect(await tag()).not.toBe(before);
  });
});

describe("PATCH /v1/policy", () => {
  test("changes what it names and leaves everything else, defaults included; PUT goes back to them", async () => {
    await expectAnswer((await manager()).put("/v1/policy").send({ keepMonths: 24 }), 200);
    const after = await expectAnswer((await manager()).patch("/v1/policy").send({ minorDefectDays: 5 }), 200);
    expect(after).toMatchObject({ keepMonths: 24, minorDefectDays: 5, inspectionEveryDays: 7 });
    await expectAnswer((await manager()).patch("/v1/policy").send({ minorDefectDays: 0 }), 422, "not-valid");
    await expectAnswer((await manager()).patch("/v1/policy").send({ minorDefectWeeks: 1 }), 422, "not-valid");
    await expectAnswer((await as("M001")).patch("/v1/policy").send({ minorDefectDays: 5 }), 403, "not-your-role");
    expect(await expectAnswer((await manager()).put("/v1/policy").send({}), 200)).toMatchObject({ keepMonths: 15, minorDefectDays: 7 });
  });
});

describe("filters", () => {
  test("defects of several states at once, and a state that there is not is refused", async () => {
    const machineId = await addTestMachine(app);
    for (const seen of ["horn.weak", "front-tyre-pressure.cap-missing"]) {
      await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, seen)), 201);
    }
    const [first] = (await getIt(`/v1/defects?machineId=${machineId}`)).body.items;
    await expectAnswer(
      (await as("M001")).post(`/v1/defects/${first.id}/deferral`).send({ id: randomUUID(), untilDay: first.dueDay, reason: "part" }),
      201,
    );
    const states = async (status: string) =>
      (await getIt(`/v1/defects?machineId=${machineId}&status=${status}`)).body.items
        .map((one: { status: string }) => one.status)
        .toSorted();
    expect(await states("open,deferred,repaired")).toEqual(["deferred", "open"]);
    expect(await states("deferred")).toEqual(["deferred"]);
    await expectAnswer((await manager()).get("/v1/defects?status=open,lost"), 422, "not-valid");
  });

  test("records of one kind, of one machine, and since a moment, with or without a month", async () => {
    const machineId = await addTestMachine(app);
    app.context.clock.advance(60_000);
    const since = app.context.clock.now().toISOString();
    await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
    app.context.clock.advance(60_000);
    const lines = async (query: string): Promise<{ kind: string; machineId: string | null; recordedAt: string }[]> =>
      (await (await as("A001")).get(`/v1/records?${query}`).expect(200)).text
        .split("\n")
        .filter(Boolean)
        .map((line) => JSON.parse(line));
    const month = since.slice(0, 7);
    const ofMachine = await lines(`month=${month}&machineId=${machineId}`);
    expect(ofMachine.map(({ kind }) => kind)).toContain("machine-added");
    expect(new Set(ofMachine.map((line) => line.machineId))).toEqual(new Set([machineId]));
    expect((await lines(`month=${month}&machineId=${machineId}&kind=defect-raised`)).map(({ kind }) => kind)).toEqual(["defect-raised"]);
    const late = await lines(`since=${since}`);
    expect(late.map(({ kind }) => kind)).toContain("defect-raised");
    expect(late.every(({ recordedAt }) => recordedAt >= since)).toBe(true);
    expect((await lines(`since=${since}&month=${month}&kind=defect-raised,machine-added`)).map(({ kind }) => kind)).toEqual([
      "defect-raised",
    ]);
    await expectAnswer((await as("A001")).get("/v1/records"), 422, "not-valid");
    await expectAnswer((await as("A001")).get(`/v1/records?month=${month}&kind=tea-made`), 422, "not-valid");
  });
});

describe("/problems/{code}", () => {
  test("answers for every code of the catalogue what it means and what to do, in both languages, to programs and to people", async () => {
    for (const [code, { status, title }] of Object.entries(allErrors)) {
      const { body } = await app.anyone.get(`/problems/${code}`).expect(200);
      expect(body).toEqual({ code, status, title, help: expect.stringMatching(/^\S.*\.$/s) });
      const german = await app.anyone.get(`/problems/${code}`).set("accept-language", "de-AT, en;q=0.5").expect(200);
      expect(german.body.title).toBe((de as Readonly<Record<string, string>>)[`problem.${code}`]);
      expect(german.body.help).not.toBe(body.help);
    }
    const page = await app.anyone.get("/problems/second-person-needed").set("accept", "text/html,*/*").expect(200);
    expect(page.type).toBe("text/html");
    expect(page.text).toContain("Somebody else has to sign this off");
    await expectAnswer(app.anyone.get("/problems/no-such-code"), 404, "not-found");
    await expectAnswer(app.anyone.get("/problems/__proto__"), 404, "not-found");
  });
});

describe("Idempotency-Key", () => {
  const add = async (key: string, body: object, path = "/v1/depots") => (await manager()).post(path).set("idempotency-key", key).send(body);

  test("a creating call that is sent again is carried out once, and answered as the first was, its Location too", async () => {
    const body = { name: "Twice", timeZone: "Europe/London" };
    const key = `"${randomUUID()}"`;
    const first = await add(key, body);
    const again = await add(key, body);
    expect([first.status, again.status, again.body, again.headers["location"]]).toEqual([201, 201, first.body, first.headers["location"]]);
    expect((await add(key, { ...body, name: "Other" })).body.code).toBe("id-reused");
    // Without the key it is a second depot of that name.
    expect((await (await manager()).post("/v1/depots").send(body)).body.code).toBe("name-taken");
    const records = await app.context.db.rows("SELECT id FROM ledger WHERE kind = 'depot-added' AND data->>'name' = 'Twice'");
    expect(records.length).toBeLessThanOrEqual(1);
  });

  test("of ten sent side by side one is carried out, and none is told anything else than that", async () => {
    const key = randomUUID();
    const answers = await Promise.all(Array.from({ length: 10 }, () => add(key, { name: "Ten times", timeZone: "Europe/London" })));
    const made = answers.filter(({ status }) => status === 201);
    expect(made.length).toBeGreaterThan(0);
    expect(new Set(made.map(({ body }) => body.id)).size).toBe(1);
    expect(answers.filter(({ status }) => status !== 201).every(({ body }) => body.code === "id-in-progress")).toBe(true);
  });

  test("a refused call frees its key, a one-time code is never kept, and a key is its sender's alone", async () => {
    const key = randomUUID();
    expect((await add(key, { name: "Twice", timeZone: "Europe/London" })).status).toBe(409);
    expect((await add(key, { name: "Freed", timeZone: "Europe/London" })).status).toBe(201);
    const person = { staffNumber: "R901", name: "Once", role: "rider", depotIds: [app.cast.homeDepotId] };
    const staffKey = randomUUID();
    const told = await add(staffKey, person, "/v1/staff");
    const again = await add(staffKey, person, "/v1/staff");
    expect([told.status, again.status, again.body.id]).toEqual([201, 201, told.body.id]);
    expect(told.body.oneTimeCode).toEqual(expect.any(String));
    expect(again.body.oneTimeCode).toBeUndefined();
    expect(JSON.stringify(await app.context.db.rows("SELECT answer FROM idempotency_key"))).not.toContain(told.body.oneTimeCode);
    expect((await add("with spaces in it", person, "/v1/staff")).body.issues[0].pointer).toBe("/headers/idempotency-key");
    app.context.clock.advance(25 * 3_600_000);
    expect((await add(staffKey, person, "/v1/staff")).body.code).toBe("staff-number-taken");
  });
});
