// The one real reading of a daily check, judged as any reading is: what it raises, what is asked about, and what is kept of it.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { proofFor } from "../../shared/catalogue/proof.ts";
import type { DailyCheckBody, DailyCheckReceipt } from "../../shared/contracts/checks.ts";
import type { Quantity } from "../../shared/contracts/quantities.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { openTestContext } from "../support/context.ts";
import { chainMachine, electricMachine, testHandbook } from "../support/machines.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2026-12-01T07:00:00.000Z"));

const dayMs = 86_400_000;

/** A machine on a day on which this is what it is asked for. */
async function askedFor(quantity: Quantity, machine: { id: string; features: typeof chainMachine } | null = null): Promise<string> {
  const machineId = machine?.id ?? (await addTestMachine(app));
  const { features = chainMachine } = machine ?? {};
  for (let days = 0; days < 12; days++, app.context.clock.advance(dayMs)) {
    const day = app.context.clock.now().toISOString().slice(0, 10);
    if (proofFor({ machineId, day, features, handbook: testHandbook }).quantity !== quantity) continue;
    // The week may be over meanwhile.
    if (machine === null) await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
    return machineId;
  }
  throw new Error(`${quantity} is never asked for`);
}

async function electric(): Promise<{ id: string; features: typeof chainMachine }> {
  const manager = await as("F001");
  const body = {
    name: `Electric ${randomUUID()}`,
    engineCc: null,
    features: electricMachine,
    handbook: { tyrePressure: testHandbook.tyrePressure },
  };
  const model = await expectAnswer(manager.post("/v1/models").send(body), 201);
  const added = {
    ...{ registrationMark: `E${randomUUID().slice(0, 6)}`, modelId: model.id, depotId: app.cast.homeDepotId, odometerKm: 1000 },
    inServiceFrom: app.context.clock.now().toISOString().slice(0, 10),
  };
  const { id } = await expectAnswer(manager.post("/v1/machines").send(added), 201);
  return { id, features: electricMachine };
}

const submit = async (body: object, status = 201, code?: string) =>
  expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), status, code);
const proved = (machineId: string, proof: DailyCheckBody["proof"], changes: Partial<DailyCheckBody> = {}): Promise<DailyCheckReceipt> =>
  submit(nilCheckOf(app, machineId, { ...(proof ? { proof } : {}), ...changes }));

describe("a reading outside its limits is a finding at its item", () => {
  // The test handbook: front tyre 175 kPa, rear 200 kPa, slack 15 to 25 mm.
  test.each<[Quantity, string, number, "kPa" | "mm", "minor" | "major"]>([
    // A quarter under the recommended pressure: 49 CFR 571.138 S4.2(a), from memory.
    ["front-tyre-pressure", "front-tyre-pressure", 131, "kPa", "major"],
    ["front-tyre-pressure", "front-tyre-pressure", 132, "kPa", "minor"],
    ["rear-tyre-pressure", "rear-tyre-pressure", 100, "kPa", "major"],
    ["rear-tyre-pressure", "rear-tyre-pressure", 221, "kPa", "minor"],
    // More than twice the handbook's most: policy.
    ["chain-slack", "chain", 51, "mm", "major"],
    ["chain-slack", "chain", 26, "mm", "minor"],
  ])("%s at %s of %d %s is %s", async (quantity, itemId, value, unit, category) => {
    const machineId = await askedFor(quantity);
    const receipt = await proved(machineId, { value, unit });
    expect(receipt.defects).toMatchObject([{ itemId, category }]);
    expect(receipt.clearance.decision).toBe(category === "major" ? "do-not-ride" : "ride-with-defects");
    expect(receipt.proof).toMatchObject({ itemId, quantity, reading: { asFound: value, unit }, category });
    expect((await onBoard(as, machineId)).standing).toBe(category === "major" ? "grounded" : "fit");
  });

  test("an empty battery grounds, a low one is a minor defect, and a full one is nothing", async () => {
    // Common practice, no source: empty at 5 %, charged before the round below 20 %.
    for (const [value, decision] of [
      [0, "do-not-ride"],
      [5, "do-not-ride"],
      [19, "ride-with-defects"],
      [20, "ride"],
    ] as const) {
      const machine = await electric();
      const machineId = await askedFor("charge", machine);
      const judged = { features: electricMachine, engineCc: null, handbook: testHandbook, ruleSet: "gb" } as const;
      const weekly = inspectionOf(app, machineId, { answers: answersAsNew(judged) });
      await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(weekly), 201);
      const receipt = await proved(machineId, { value, unit: "percent" }, { answers: nilAnswers(electricMachine) });
      expect([value, receipt.clearance.decision]).toEqual([value, decision]);
    }
  });

  test("the paper of its defect prints the reading, with the limit that decided", async () => {
    const machineId = await askedFor("front-tyre-pressure");
    const { defects } = await proved(machineId, { value: 120, unit: "kPa" });
    const text = (await reportAt(await as("A001"), `/v1/defects/${defects[0]?.id}/report.pdf`)).read.pages.join(" ");
    expect(text).toMatch(/Front tyre pressure.*120\s*kPa/s);
    expect(text).toContain("157.5");
  });

  test("within its limits it is kept with its verdict, and nothing is raised", async () => {
    const machineId = await askedFor("rear-tyre-pressure");
    const receipt = await proved(machineId, { value: 200, unit: "kPa" });
    expect(receipt).toMatchObject({ defects: [], proof: { result: "within", category: null } });
    expect(receipt.check.flags).toEqual([]);
    const entry = await app.context.db.prisma.ledger.findUniqueOrThrow({ where: { id: receipt.check.id } });
    expect(entry.data).toMatchObject({ outcome: { proof: { quantity: "rear-tyre-pressure", asFound: { outcome: "within" } } } });
  });

  test("the load decides which pressure of the handbook it is judged by", async () => {
    const machineId = await askedFor("rear-tyre-pressure");
    expect((await proved(machineId, { value: 250, unit: "kPa", load: "laden" })).defects).toEqual([]);
    expect((await proved(machineId, { value: 250, unit: "kPa" })).defects).toMatchObject([{ category: "minor" }]);
  });

  test("what was seen at the same item and what was read are one defect, with the worse category", async () => {
    const machineId = await askedFor("front-tyre-pressure");
    const body = checkFinding(app, machineId, "front-tyre-pressure.cap-missing", { proof: { value: 88, unit: "kPa", readTwice: true } });
    expect((await submit(body)).defects).toMatchObject([{ category: "major", observationIds: ["front-tyre-pressure.cap-missing"] }]);
  });
});

describe("in the unit of the gauge at hand", () => {
  test("29 psi is 200 kPa, and 29 sent as kPa is asked about, naming psi", async () => {
    const machineId = await askedFor("rear-tyre-pressure");
    expect((await proved(machineId, { value: 29, unit: "psi" })).proof).toMatchObject({ result: "within" });
    const refused = await submit(nilCheckOf(app, machineId, { proof: { value: 29, unit: "kPa" } }), 422, "check-not-whole");
    expect(refused.issues).toEqual([{ pointer: "/proof/value", message: expect.stringContaining("psi") }]);
    const again = await proved(machineId, { value: 29, unit: "kPa", readTwice: true });
    expect(again.clearance.decision).toBe("do-not-ride");
    expect(again.defects).toMatchObject([{ itemId: "rear-tyre-pressure", category: "major" }]);
  });

  test("what is unusual and possible is taken as it is: half a tyre's pressure and a chain that fouls ground at once", async () => {
    for (const [quantity, value] of [
      ["front-tyre-pressure", 88],
      ["chain-slack", 79],
    ] as const) {
      const got = await proved(await askedFor(quantity), { value });
      expect(got.clearance.decision).toBe("do-not-ride");
      expect(got.defects).toMatchObject([{ category: "major" }]);
    }
  });

  test("a value that no gauge can show and a unit of another gauge are asked about", async () => {
    const machineId = await askedFor("front-tyre-pressure");
    for (const proof of [
      { value: -1, unit: "kPa", readTwice: true },
      { value: 20, unit: "mm" },
    ]) {
      const refused = await submit(nilCheckOf(app, machineId, { proof: proof as DailyCheckBody["proof"] }), 422, "check-not-whole");
      expect(refused.issues).toMatchObject([{ pointer: "/proof/value" }]);
    }
  });

  test("with a defect in the body an odd reading is kept and flagged, and raises nothing by itself", async () => {
    const machineId = await askedFor("rear-tyre-pressure");
    const got = await submit(checkFinding(app, machineId, "horn.silent", { proof: { value: 29, unit: "kPa" } }));
    expect(got.check).toMatchObject({ flags: ["proof-implausible"], proof: { value: 29, unit: "kPa" } });
    expect(got.defects).toMatchObject([{ itemId: "horn" }]);
    expect(got.proof).toBeNull();
  });

  test("without a reading the check is taken and flagged", async () => {
    const machineId = await askedFor("chain-slack");
    const got = await proved(machineId, undefined);
    expect(got.check.flags).toEqual(["proof-missing"]);
    expect(got.clearance.decision).toBe("ride");
  });

  test("an older phone sends the bare value, read in the unit that was asked for; it could not ask, so an odd one is kept and flagged", async () => {
    const machineId = await askedFor("rear-tyre-pressure");
    const odd = await proved(machineId, { value: 29 }, { sheetVersion: "2026-11" });
    expect(odd.check.flags).toEqual(["sheet-old", "proof-implausible"]);
    const low = await proved(machineId, { value: 120 }, { sheetVersion: "2026-11" });
    expect(low.defects).toMatchObject([{ itemId: "rear-tyre-pressure", category: "major" }]);
  });

  test("the sheet says what is asked for, in which units, how it is read, for which load, and what it has to keep", async () => {
    const machineId = await askedFor("chain-slack");
    const { proof } = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    expect(proof).toMatchObject({ quantity: "chain-slack", units: ["mm"], load: null, itemId: "chain", limit: { least: 15, most: 25 } });
    expect(proof.method).toMatch(/lower/);
    const tyre = await askedFor("rear-tyre-pressure");
    const other = await expectAnswer((await as("R001")).get(`/v1/machines/${tyre}/sheet`).query({ kind: "daily" }), 200);
    expect(other.proof).toMatchObject({ units: ["kPa", "psi", "bar"], load: "solo", limit: { least: 180, most: 220 } });
  });
});

describe("the odometer that goes with a check", () => {
  test("says whether somebody read it, and is flagged where nobody did", async () => {
    const machineId = await addTestMachine(app);
    const got = async (changes: Partial<DailyCheckBody>) => (await proved(machineId, undefined, changes)).check;
    expect(await got({ odometerRead: false })).toMatchObject({ odometerRead: false, flags: ["proof-missing", "odometer-not-read"] });
    expect(await got({ odometerRead: true })).toMatchObject({ odometerRead: true, flags: ["proof-missing"] });
    expect(await got({})).toMatchObject({ odometerRead: null, flags: ["proof-missing"] });
  });
});

describe("what a check took", () => {
  test("stands beside what it takes, in figures and a sentence; a quick one is flagged and cleared all the same", async () => {
    const machineId = await addTestMachine(app);
    const quick = await proved(machineId, undefined, { durationSeconds: 4 });
    expect(quick.took).toMatchObject({ seconds: 4, usualSeconds: 60, quick: true, text: expect.stringContaining("4 s") });
    expect(quick.took?.leastSeconds).toBeGreaterThanOrEqual(25);
    expect(quick.check.flags).toContain("done-quickly");
    expect(quick.clearance.decision).toBe("ride");
    const calm = await proved(machineId, undefined, { durationSeconds: 60 });
    expect(calm.took).toMatchObject({ quick: false });
    expect(calm.check.flags).not.toContain("done-quickly");
  });

  test("one item of the machine is asked by itself each day, every one once in a round", async () => {
    const machineId = await addTestMachine(app);
    const asked = new Set<string>();
    const { stations } = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    const items = (stations as { items: { id: string; about: string }[] }[]).flatMap((station) => station.items);
    const ofMachine = items.filter(({ about }) => about === "machine").map(({ id }) => id);
    for (let days = 0; days < 2 * ofMachine.length; days++, app.context.clock.advance(dayMs)) {
      const sheet = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
      asked.add(sheet.itemOfTheDay);
    }
    expect([...asked].sort()).toEqual([...ofMachine].sort());
  });
});
