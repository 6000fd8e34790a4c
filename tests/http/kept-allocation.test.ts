// Who rides what, kept: what is taken and what is refused, who sees it, and what stands in the records.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { Allocation, KeptAllocation } from "../../shared/contracts/planning.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { chainOf, expectRefused } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const dayMs = 86_400_000;
const { app, as } = testService();

type Lines = readonly { readonly staffId: string; readonly machineId: string }[];
const today = () => app.context.clock.now().toISOString().slice(0, 10);
const addressOf = (depotId: string, day: string): string => `/v1/allocations/${depotId}/${day}`;
const send = async (who: string, depotId: string, allocations: Lines, { day = today(), ifMatch = "" } = {}) => {
  const call = (await as(who)).put(addressOf(depotId, day));
  return (ifMatch === "" ? call : call.set("if-match", ifMatch)).send({ allocations });
};
const keep = async (depotId: string, allocations: Lines, day = today()): Promise<KeptAllocation> =>
  expectAnswer(send("F001", depotId, allocations, { day }), 200);
const show = async (who: string, depotId: string, day = today()): Promise<KeptAllocation> =>
  expectAnswer((await as(who)).get(addressOf(depotId, day)), 200);
const linesOf = ({ allocations }: KeptAllocation) =>
  allocations.map(({ staffNumber, registrationMark }) => [staffNumber, registrationMark]);
/** A depot with machines of its own. */
const newDepot = async (...marks: string[]): Promise<{ depotId: string; machines: string[] }> => {
  const body = { name: randomUUID(), timeZone: "Europe/London", workshopHoursPerDay: 8 };
  const depotId: string = (await expectAnswer((await as("F001")).post("/v1/depots").send(body), 201)).id;
  const machines: string[] = [];
  for (const mark of marks) machines.push(await addTestMachine(app, { depotId, mark }));
  return { depotId, machines };
};
/** A rider of that depot; answers id and staff number. */
const addRider = async (depotId: string, changes: object = {}): Promise<{ id: string; staffNumber: string }> => {
  const staffNumber = `N${randomUUID().slice(0, 6)}`;
  const body = { staffNumber, name: "Rider", role: "rider", depotIds: [depotId], ...changes };
  const added = await expectAnswer((await as("F001")).post("/v1/staff").send(body), 201);
  return { id: added.id, staffNumber: added.staffNumber };
};
const kept = async () => (await chainOf(app.context.db, null)).filter(({ kind }) => kind === "allocation-kept");

describe("keeping", () => {
  test("says who kept it and when, names each line, and is one record a change; the same lines again are recorded once", async () => {
    const { depotId, machines } = await newDepot("KEEP1", "KEEP2");
    const [first = "", second = ""] = machines;
    const [one, other] = [await addRider(depotId, { staffNumber: "N1" }), await addRider(depotId, { staffNumber: "N2" })];
    const nothing = await show("F001", depotId);
    expect(nothing).toMatchObject({ revision: 0, keptBy: null, keptAt: null, allocations: [] });

    const before = (await kept()).length;
    const lines = [
      { staffId: other.id, machineId: first },
      { staffId: one.id, machineId: second },
    ];
    const answer = await keep(depotId, lines);
    expect(answer).toMatchObject({
      ...{ depotId, day: today(), revision: 1, keptAt: app.context.clock.now().toISOString() },
      keptBy: { staffId: app.cast.staffId("F001"), staffNumber: "F001", name: "Person F001" },
    });
    expect(answer.allocations).toEqual([
      {
        ...{ staffId: one.id, staffNumber: one.staffNumber, name: "Rider" },
        ...{ machineId: second, registrationMark: "KEEP2", standing: "unchecked", flags: ["licence-unknown"] },
      },
      expect.objectContaining({ staffId: other.id, registrationMark: "KEEP1" }),
    ]);
    app.context.clock.advance(60_000);
    expect((await keep(depotId, [...lines].reverse())).keptAt).toBe(answer.keptAt);
    expect((await kept()).length).toBe(before + 1);

    const changed = await keep(depotId, [{ staffId: one.id, machineId: first }]);
    expect([changed.revision, linesOf(changed)]).toEqual([2, [[one.staffNumber, "KEEP1"]]]);
    expect((await kept()).at(-1)).toEqual({
      kind: "allocation-kept",
      staffId: app.cast.staffId("F001"),
      data: {
        ...{ depotId, day: today(), revision: 2 },
        allocations: [{ staffId: one.id, machineId: first, standing: "unchecked", flags: ["licence-unknown"] }],
      },
    });
    expect(await show("F001", depotId)).toEqual(changed);
    expect((await keep(depotId, [])).allocations).toEqual([]);
  });

  test("two managers do not replace each other's unseen: the tag is that of what they read, of nothing as well", async () => {
    const { depotId, machines } = await newDepot("TAG1");
    const rider = await addRider(depotId);
    const lines = [{ staffId: rider.id, machineId: machines[0] ?? "" }];
    const tagOf = async () => (await (await as("F001")).get(addressOf(depotId, today())).expect(200)).headers["etag"] ?? "";
    const ofNothing = await tagOf();
    const answer = await send("F001", depotId, lines, { ifMatch: ofNothing });
    expect([answer.status, answer.headers["etag"]]).toEqual([200, await tagOf()]);
    const late = await expectRefused(app, () => send("F001", depotId, [], { ifMatch: ofNothing }), 412, "changed-meanwhile");
    expect(late.headers["etag"]).toBe(await tagOf());
    await expectAnswer(send("F001", depotId, [], { ifMatch: await tagOf() }), 200);
  });

  test("a machine is ready or not by the time they ride: grounded it is kept with its flag, and shown with how it stands now", async () => {
    const { depotId, machines } = await newDepot("FLAG1");
    const [machineId = ""] = machines;
    const rider = await addRider(depotId, { licenceClass: "A" });
    await expectAnswer((await as("M001")).post("/v1/defects").send(reportOf(app, machineId, "horn.silent")), 201);
    const tomorrow = addDays(today(), 1);
    const answer = await keep(depotId, [{ staffId: rider.id, machineId }], tomorrow);
    expect(answer.allocations).toMatchObject([{ standing: "grounded", flags: ["not-ready"] }]);
    app.context.clock.advance(2 * dayMs);
    expect((await show("F001", depotId, tomorrow)).allocations).toMatchObject([{ standing: null, flags: [], registrationMark: "FLAG1" }]);
  });
});

describe("what cannot be right is refused, and nothing is stored", () => {
  const refused = async (lines: Lines, code: string, pointers: readonly string[], depotId: string) =>
    expectRefused(app, () => send("F001", depotId, lines), code === "machine-ridden" ? 409 : 422, code, pointers);

  test("a machine on which somebody else holds a running clearance; to who holds it, it is given", async () => {
    const { depotId, machines } = await newDepot("RIDE1", "RIDE2");
    const [ridden = "", free = ""] = machines;
    const mechanicId = app.cast.staffId("M001");
    const rider = await addRider(depotId);
    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, ridden)), 201);
    const lines = [
      { staffId: mechanicId, machineId: free },
      { staffId: rider.id, machineId: ridden },
    ];
    await refused(lines, "machine-ridden", ["/allocations/1/machineId"], depotId);
    await keep(depotId, [{ staffId: mechanicId, machineId: ridden }]);
    // Tomorrow nobody rides it yet, and once the clearance has run out neither.
    await keep(depotId, [{ staffId: rider.id, machineId: ridden }], addDays(today(), 1));
    app.context.clock.advance(dayMs);
    expect((await show("F001", depotId)).allocations).toMatchObject([{ staffId: rider.id, flags: ["licence-unknown"] }]);
    // Somebody else takes it all the same: the manager sees it.
    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, ridden)), 201);
    expect((await show("F001", depotId)).allocations).toMatchObject([{ flags: ["licence-unknown", "ridden"] }]);
  });

  test("people who are nobody, have left, ride nothing, or are of another depot; anybody and any machine twice", async () => {
    const { depotId, machines } = await newDepot("WHO1", "WHO2", "WHO3", "WHO4");
    const [first = "", second = "", third = "", fourth = ""] = machines;
    const [rider, left] = [await addRider(depotId), await addRider(depotId)];
    await expectAnswer((await as("F001")).patch(`/v1/staff/${left.id}`).send({ left: true }), 200);
    const wrong = [
      { staffId: randomUUID(), machineId: first },
      { staffId: left.id, machineId: second },
      { staffId: app.cast.staffId("A001"), machineId: third },
      { staffId: app.cast.staffId("R101"), machineId: fourth },
    ];
    await refused(
      wrong,
      "allocation-wrong",
      wrong.map((_, index) => `/allocations/${index}/staffId`),
      depotId,
    );
    const twice = [
      { staffId: rider.id, machineId: first },
      { staffId: rider.id.toUpperCase(), machineId: first },
    ];
    await refused(twice, "not-valid", ["/allocations/1/staffId", "/allocations/1/machineId"], depotId);
  });

  test("machines that are none, of another depot or withdrawn, and one that the licence on file does not cover", async () => {
    const { depotId, machines } = await newDepot("MACH1", "MACH2");
    const [withdrawn = "", big = ""] = machines;
    const elsewhere = await addTestMachine(app);
    await expectAnswer((await as("F001")).patch(`/v1/machines/${withdrawn}`).send({ withdrawn: { reason: "Sold" } }), 200);
    const riders = [
      await addRider(depotId),
      await addRider(depotId),
      await addRider(depotId),
      await addRider(depotId, { licenceClass: "AM" }),
    ];
    const lines = [randomUUID(), elsewhere, withdrawn, big].map((machineId, at) => ({ staffId: riders[at]?.id ?? "", machineId }));
    await refused(
      lines,
      "allocation-wrong",
      lines.map((_, index) => `/allocations/${index}/machineId`),
      depotId,
    );
  });

  test("a day that is over, one more than four weeks ahead, and what is no allocation", async () => {
    const { depotId } = await newDepot();
    const day = (by: number) => addDays(today(), by);
    for (const wrong of [day(-1), day(29)]) {
      await expectRefused(app, () => send("F001", depotId, [], { day: wrong }), 422, "not-valid", ["/params/day"]);
    }
    for (const none of ["2026-02-30", "soon"]) await expectRefused(app, () => send("F001", depotId, [], { day: none }), 422, "not-valid");
    await keep(depotId, [], day(28));
    await expectRefused(app, async () => (await as("F001")).put(addressOf(depotId, today())).send({}), 422, "not-valid", ["/allocations"]);
  });
});

describe("who sees it", () => {
  test("a rider their own line, everybody else of the depot all of it; only a manager of the depot keeps", async () => {
    const depotId = app.cast.homeDepotId;
    const [mine, other] = [await addTestMachine(app), await addTestMachine(app)];
    const [me, another] = [app.cast.staffId("R001"), app.cast.staffId("R002")];
    await keep(depotId, [
      { staffId: me, machineId: mine },
      { staffId: another, machineId: other },
    ]);
    expect((await show("R001", depotId)).allocations.map(({ staffId }) => staffId)).toEqual([me]);
    for (const who of ["M001", "F001", "A001"]) expect((await show(who, depotId)).allocations.length).toBe(2);
    for (const who of ["R001", "M001", "A001"]) {
      await expectRefused(app, () => send(who, depotId, []), 403, "not-your-role");
    }
    await expectRefused(app, () => send("F101", depotId, []), 403, "other-depot");
    await expectAnswer((await as("R101")).get(addressOf(depotId, today())), 403, "other-depot");
    await expectAnswer((await as("F001")).get(addressOf(randomUUID(), today())), 404, "not-found");
    await expectRefused(app, () => send("F001", randomUUID(), []), 404, "not-found");
  });
});

describe("the proposal after it", () => {
  test("changes the fewest of what was kept: for this day, else for the last one, rather than of what was ridden", async () => {
    const { depotId, machines } = await newDepot("PROP1", "PROP2");
    const [first = "", second = ""] = machines;
    const [mechanicId, rider] = [app.cast.staffId("M001"), await addRider(depotId)];
    const proposed = async (): Promise<Allocation> => {
      const body = { depotId, day: today(), riders: [{ staffId: mechanicId }, { staffId: rider.id }] };
      return expectAnswer((await as("F001")).post("/v1/readiness/allocation").send(body), 200);
    };
    const given = async () => Object.fromEntries((await proposed()).allocations.map(({ staffId, machineId }) => [staffId, machineId]));
    await keep(depotId, [
      { staffId: mechanicId, machineId: second },
      { staffId: rider.id, machineId: first },
    ]);
    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, first)), 201);
    app.context.clock.advance(dayMs);
    expect(await given()).toEqual({ [mechanicId]: second, [rider.id]: first });
    expect((await proposed()).changes).toBe(0);
    await keep(depotId, [{ staffId: rider.id, machineId: second }]);
    expect(await given()).toEqual({ [mechanicId]: first, [rider.id]: second });
    // Two days of use later that is too old to count, and what was ridden does.
    app.context.clock.advance(dayMs);
    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, second)), 201);
    app.context.clock.advance(dayMs);
    expect((await given())[mechanicId]).toBe(second);
    expect((await proposed()).changes).toBe(0);
  });

  test("has nothing for somebody who makes no daily checks, as nobody could keep it", async () => {
    const { depotId } = await newDepot("NONE1");
    const body = { depotId, day: today(), riders: [{ staffId: app.cast.staffId("A001") }] };
    const { unserved } = await expectAnswer((await as("F001")).post("/v1/readiness/allocation").send(body), 200);
    expect(unserved).toMatchObject([{ reason: "no-rider" }]);
  });
});
