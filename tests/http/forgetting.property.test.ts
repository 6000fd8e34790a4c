// Whatever happens on the machines, and whenever it is forgotten: chains, checkpoints, packs and the standing of today hold.
import { randomUUID } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { beforeAll, expect, test } from "vitest";
import { workOff } from "../../src/audit/index.ts";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { boardOf, expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { expectAgreement, expectContinued, expectWholeChains } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2024-01-31T06:00:00.000Z"));
const machines: string[] = [];
beforeAll(async () => {
  for (let n = 0; n < 3; n += 1) machines.push(await addTestMachine(app));
});

const acts = ["nil", "finding", "noted", "repair", "sign-off", "inspect", "correct", "hold", "lift", "keep"] as const;
interface Step {
  readonly act: (typeof acts)[number];
  readonly machine: number;
  readonly days: number;
}
const step: fc.Arbitrary<Step> = fc.record({
  act: fc.constantFrom(...acts),
  machine: fc.nat({ max: 2 }),
  days: fc.nat({ max: 120 }),
});

const rows = <Row>(sql: string, parameters: readonly unknown[] = []): Promise<Row[]> => app.context.db.rows<Row>(sql, parameters);
const idIn = async (sql: string, parameters: readonly unknown[] = []): Promise<string | undefined> =>
  (await rows<{ id: string }>(sql, parameters))[0]?.id;

/** Takes the step as far as it can be taken; a refusal is fine, a fault is not. */
async function take({ act, machine, days }: Step): Promise<void> {
  app.context.clock.advance(days * 86_400_000 + 60_000);
  const machineId = machines[machine] ?? "";
  const send = async (who: string, path: string, body: object) =>
    expect((await (await as(who)).post(path).send(body)).status, `${act} ${path}`).toBeLessThan(500);
  const defect = (status: string) =>
    idIn("SELECT id FROM defect WHERE machine_id = $1::text::uuid AND status = $2::text ORDER BY seen_at LIMIT 1", [machineId, status]);
  switch (act) {
    case "nil":
      return send("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
    case "finding":
      return send("R001", "/v1/daily-checks", checkFinding(app, machineId, "stop-lamp.out"));
    case "noted":
      return send("R002", "/v1/defects", reportOf(app, machineId, "horn.silent", { note: "Heard by nobody" }));
    case "repair": {
      const id = await defect("open");
      return id === undefined ? undefined : send("M001", `/v1/defects/${id}/repairs`, repairOf(app));
    }
    case "sign-off": {
      const id = await defect("repaired");
      return id === undefined ? undefined : send("M002", `/v1/defects/${id}/sign-off`, { id: randomUUID(), statement: "Gone" });
    }
    case "inspect":
      return send("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
    case "correct": {
      const id = await idIn("SELECT id FROM ledger WHERE machine_id = $1::text::uuid ORDER BY md5(id::text || $2::text) LIMIT 1", [
        machineId,
        days,
      ]);
      return send("M001", `/v1/records/${id}/corrections`, { id: randomUUID(), right: "x", reason: "y" });
    }
    case "hold":
      return send("F001", "/v1/holds", { id: randomUUID(), machineId, reason: "An examiner asks" });
    case "lift": {
      const id = await idIn("SELECT id FROM legal_hold WHERE lifted_at IS NULL ORDER BY placed_at LIMIT 1");
      return id === undefined ? undefined : send("F001", `/v1/holds/${id}/lift`, { reason: "Settled" });
    }
    case "keep":
      await expectAnswer((await as("F001")).put("/v1/policy").send({ keepMonths: 15 + (days % 6) }), 200);
  }
}

const heldAndGone = () =>
  rows(
    `SELECT h.id, (SELECT count(*)::int FROM ledger l WHERE l.machine_id = h.machine_id AND l.data IS NULL) AS gone
     FROM legal_hold h WHERE h.lifted_at IS NULL ORDER BY h.id`,
  );

async function forgetAndCompare(): Promise<number> {
  const kept = await takeCheckpoint(app.context);
  if (!kept) throw new Error("the firm is founded");
  const [board, held] = [await boardOf(as), await heldAndGone()];
  const { due } = await expectAnswer((await as("A001")).get("/v1/retention"), 200);
  expect(await forgetOld(app.context, { most: 7 })).toBe(due);
  expect((await expectAnswer((await as("A001")).get("/v1/retention"), 200)).due).toBe(0);
  expect(await boardOf(as)).toEqual(board);
  expect(await heldAndGone()).toEqual(held);
  // 15 months: DVSA, Guide to maintaining roadworthiness, 3.1 and 4.x; counted by the database here, and by us elsewhere.
  const early = `SELECT l.id FROM ledger l JOIN ledger b ON b.id = l.forgotten_by LEFT JOIN defect d ON d.id = l.id
    WHERE coalesce(d.closed_at, l.recorded_at) + interval '15 months' > b.recorded_at
      OR EXISTS (SELECT FROM defect o WHERE o.closed_at IS NULL AND l.id IN (o.id, o.origin_id))`;
  expect(await rows(early)).toEqual([]);
  await expectWholeChains(app.context);
  await expectAgreement(app.context);
  await expectContinued(app.context, as, kept);
  return due;
}

test("forgetting breaks no chain, no checkpoint, no standing, and takes nothing that is open, held or too young", async () => {
  let forgotten = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(step, { minLength: 6, maxLength: 12 }), async (steps) => {
      for (const one of steps) await take(one);
      forgotten += await forgetAndCompare();
    }),
    // One history that goes on: to shrink it would begin another.
    { numRuns: 12, endOnFailure: true },
  );
  // A hold may have kept nearly everything so far: with all of them lifted, what is closed and old goes, whatever history chance drew.
  for (const { id } of await rows<{ id: string }>("SELECT id FROM legal_hold WHERE lifted_at IS NULL"))
    await expectAnswer((await as("F001")).post(`/v1/holds/${id}/lift`).send({ reason: "Settled" }), 200);
  await expectAnswer((await as("F001")).put("/v1/policy").send({ keepMonths: 15 }), 200);
  app.context.clock.advance(500 * 86_400_000);
  forgotten += await forgetAndCompare();
  expect(forgotten).toBeGreaterThan(10);
});

test("packs of months in which much was forgotten still verify", async () => {
  const months = await rows<{ month: string }>(
    `SELECT to_char(recorded_at, 'YYYY-MM') AS month FROM ledger WHERE data IS NULL GROUP BY 1 ORDER BY count(*) DESC LIMIT 2`,
  );
  expect(months.length).toBeGreaterThan(0);
  const folder = await mkdtemp(join(tmpdir(), "ferrule-forgotten-"));
  try {
    for (const { month } of months) {
      const { id } = await expectAnswer((await as("A001")).post("/v1/audit-packs").send({ month }), 202);
      await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
      const answer = await (await as("A001")).get(`/v1/audit-packs/${id}/download`).buffer(true).responseType("blob");
      await writeFile(join(folder, "pack.zip"), answer.body);
      expect(await verifyPack(join(folder, "pack.zip"))).toMatchObject({ holds: true });
    }
  } finally {
    await rm(folder, { recursive: true });
  }
});
