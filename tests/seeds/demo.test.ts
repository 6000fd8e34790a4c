// The demo firm: what a newcomer is promised on the first start, and what later pages need to find in its history.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { foundDemoFirm, listDemoPeople } from "../../seeds/index.ts";
import type { WorkPlan } from "../../shared/contracts/planning.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import { compareAll } from "../../src/acts/index.ts";
import { checkHonesty } from "../../src/insight/index.ts";
import { allocateMachines } from "../../src/planning/allocate-machines.ts";
import { forecastMachine } from "../../src/planning/forecast-machine.ts";
import { makeWorkPlan } from "../../src/planning/make-work-plan.ts";
import { machine } from "../../src/planning/planned-machine.ts";
import { pressureTrend } from "../../src/planning/pressure-trend.ts";
import { type Actor, viewOf } from "../../src/platform/index.ts";
import { readReadiness } from "../../src/readiness/index.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { demoNoon, openDemoContext } from "../support/demo.ts";

const everyDepot: Actor = {
  ...{ staffId: "", sessionId: "", staffNumber: "F001", name: "", depotIds: null, competences: [] },
  ...{ role: "manager" as const, roles: ["manager" as const] },
  mustChangeSecret: false,
  licenceClass: null,
};

let context: TestContext;
beforeAll(async () => {
  context = await openDemoContext();
});
afterAll(() => context.close());

const rows = <Row>(sql: string, parameters: readonly unknown[] = []): Promise<Row[]> => context.db.rows<Row>(sql, parameters);
const count = async (of: string): Promise<number> => (await rows<{ n: number }>(`SELECT count(*)::int AS n FROM ${of}`))[0]?.n ?? -1;
const machines = () => rows<{ id: string; mark: string }>("SELECT id, registration_mark AS mark FROM machine ORDER BY 2");
const board = (of: TestContext) => readReadiness(of, viewOf(everyDepot));

async function ofMachine<Row>(mark: string, columns: string, kind: string): Promise<Row[]> {
  return rows<Row>(
    `SELECT ${columns} FROM ledger l JOIN machine m ON m.id = l.machine_id
     WHERE m.registration_mark = $1 AND l.kind = $2 ORDER BY l.position`,
    [mark, kind],
  );
}

interface Measured {
  readonly itemId: string;
  readonly places?: readonly number[];
  readonly celsius?: number;
  readonly asFound?: number;
  readonly asLeft?: number;
}
const readingsOf = async (mark: string, itemId: string): Promise<Measured[]> =>
  (await ofMachine<{ answers: Measured[] }>(mark, "l.data->'submitted'->'answers' AS answers", "weekly-inspection")).flatMap(
    ({ answers }) => answers.filter((answer) => answer.itemId === itemId),
  );

describe("what there is", () => {
  test("two depots in two zones, four models, 24 machines and 30 people, whose list is what is printed", async () => {
    expect(await count("machine_model")).toBe(4);
    // One more came and was scrapped the same day.
    expect(await count("machine WHERE NOT (state ? 'disposed')")).toBe(24);
    const zones = await rows<{ zone: string }>("SELECT DISTINCT time_zone AS zone FROM depot");
    expect(zones).toHaveLength(2);
    const staff = await rows<{ number: string; name: string; role: string }>(
      "SELECT staff_number AS number, name, role FROM staff ORDER BY 1",
    );
    expect(staff).toHaveLength(30);
    const listed = listDemoPeople().people.map(({ number, name, role }) => ({ number, name, role }));
    expect(listed.sort((one, other) => (one.number < other.number ? -1 : 1))).toEqual(staff);
  });

  test("the mechanics M001 and M002 hold every competence, M004 some and with them inspection, M003 none; manager and auditor see all depots", async () => {
    const staff = await rows<{ number: string; held: number; all: boolean }>(
      `SELECT staff_number AS number, cardinality(competences)::int AS held, all_depots AS all FROM staff
       WHERE staff_number IN ('M001', 'M002', 'M003', 'F001', 'A001') ORDER BY 1`,
    );
    expect(staff).toEqual([
      { number: "A001", held: 0, all: true },
      { number: "F001", held: 0, all: true },
      { number: "M001", held: 8, all: true },
      { number: "M002", held: 8, all: true },
      { number: "M003", held: 0, all: true },
    ]);
    const [{ held } = { held: [] }] = await rows<{ held: string[] }>("SELECT competences AS held FROM staff WHERE staff_number = 'M004'");
    expect(held).toContain("inspection");
    // Who may not sign measures, and another signs with both names.
    expect(await count("weekly_inspection w JOIN staff s ON s.id = w.staff_id WHERE s.staff_number = 'M003'")).toBe(0);
    expect(await count("ledger WHERE kind = 'weekly-inspection' AND jsonb_array_length(data->'measuredBy') > 0")).toBeGreaterThan(40);
  });

  test("thirteen weeks of checks on six days of each, and nothing in the future or before it was done", async () => {
    const [span] = await rows<{ first: string; last: string; days: number }>(
      `SELECT min(local_day)::text AS first, max(local_day)::text AS last, count(DISTINCT local_day)::int AS days FROM daily_check`,
    );
    expect(span?.last).toBe("2026-11-25");
    expect(span && span.first <= "2026-08-29").toBe(true);
    expect(span?.days).toBeGreaterThanOrEqual(76);
    expect(await count("daily_check")).toBeGreaterThan(1500);
    expect(await count("weekly_inspection")).toBeGreaterThan(280);
    expect(await count(`ledger WHERE recorded_at > TIMESTAMPTZ '${demoNoon}' OR performed_at > recorded_at`)).toBe(0);
  });

  test("every machine's state, history and defects follow from its records", async () => {
    const differences: unknown[] = [];
    for await (const compared of compareAll(context.db)) if (compared.differences.length > 0) differences.push(compared);
    expect(differences).toEqual([]);
  });
});

const promised = { fit: 2, unchecked: 15, grounded: 3, "inspection-overdue": 2, "papers-expired": 1, withdrawn: 1 };

describe("the first morning", () => {
  test("most machines are unchecked; three are grounded for different reasons, two overdue, one without papers, one withdrawn, two fit", async () => {
    const { totals, machines } = await board(context);
    expect(totals).toEqual(promised);
    const causes = machines
      .filter(({ standing }) => standing === "grounded")
      .map(({ reasons }) => `${reasons[0]?.code} ${reasons[0]?.itemId}`);
    expect(causes.sort()).toEqual(["grounding-defect front-brake-cable", "grounding-defect wheel-play", "minor-defect-overdue bodywork"]);
  });

  test("a tyre that its rider pumped up three times this week is a question to the workshop, and nothing stands against its machine", async () => {
    const { machines } = await board(context);
    const asked = machines.filter(({ putRightOften }) => putRightOften.length > 0);
    expect(asked.map(({ registrationMark }) => registrationMark)).toEqual(["N8X2K9"]);
    expect(asked[0]).toMatchObject({
      standing: "unchecked",
      putRightOften: [{ observationId: "rear-tyre-pressure.a-little-soft", times: 3 }],
    });
    expect(
      await count(
        `defect d JOIN machine m ON m.id = d.machine_id WHERE m.registration_mark = 'N8X2K9' AND d.item_id LIKE 'rear-tyre-pressure%'
           AND d.status IN ('open', 'deferred', 'repaired')`,
      ),
    ).toBe(0);
  });

  test("the one without papers had a renewal with a mistyped year, which was ended as mistaken and hides nothing", async () => {
    const ended = await rows<{ machineId: string; reason: string; years: number }>(
      `SELECT p.machine_id AS "machineId", e.reason, (extract(year FROM p.valid_to) - extract(year FROM p.valid_from))::int AS years
       FROM paper_ending e JOIN paper p ON p.id = e.paper_id`,
    );
    const { machines } = await board(context);
    const without = machines.find(({ standing }) => standing === "papers-expired");
    expect(ended).toEqual([{ machineId: without?.machineId, reason: "mistaken", years: 10 }]);
  });

  test("every machine with an open grounding defect reads grounded or withdrawn", async () => {
    const { machines } = await board(context);
    const open = await rows<{ id: string }>(
      `SELECT DISTINCT machine_id AS id FROM defect WHERE category IN ('major', 'dangerous') AND status IN ('open', 'deferred', 'repaired')`,
    );
    expect(open.length).toBeGreaterThanOrEqual(2);
    for (const { id } of open) {
      expect(["grounded", "withdrawn"]).toContain(machines.find(({ machineId }) => machineId === id)?.standing);
    }
  });

  // Saltbriar Quay keeps the time of Lisbon, Umberhill Yard that of Nairobi, where a late evening is another day.
  // The story's days count back from today, and a Sunday among them is the Saturday before: every weekday is another story.
  test.each([
    ["a summer Monday, late in the evening", "2026-07-13T22:55:00.000Z"],
    ["a Tuesday morning", "2026-12-01T06:10:00.000Z"],
    ["a Wednesday, five past midnight", "2026-11-25T00:05:00.000Z"],
    ["a Thursday at noon", "2026-03-05T12:00:00.000Z"],
    ["a Friday at dawn", "2026-04-17T04:27:00.000Z"],
    ["a Saturday evening", "2026-10-10T19:45:00.000Z"],
    ["a Sunday afternoon", "2026-11-22T15:20:00.000Z"],
  ])("it is the same at %s", async (_when, now) => {
    const other = await openTestContext(now);
    try {
      await foundDemoFirm(other, { weeks: 2 });
      expect((await board(other)).totals).toEqual(promised);
    } finally {
      await other.close();
    }
  });
});

describe("how it is told", () => {
  test("the same start gives the same records, ids included", async () => {
    const digests: unknown[] = [];
    for (const _run of [1, 2]) {
      const other = await openTestContext(demoNoon);
      await foundDemoFirm(other, { weeks: 1 });
      const [digest] = await other.db.rows<{ ledger: string; states: string; n: number }>(
        `SELECT md5(string_agg(l::text, '|' ORDER BY l.id)) AS ledger, count(*)::int AS n,
           (SELECT md5(string_agg(m::text, '|' ORDER BY m.id)) FROM machine m) AS states FROM ledger l`,
      );
      digests.push(digest);
      await other.close();
    }
    expect(digests[0]).toEqual(digests[1]);
    expect((digests[0] as { n: number }).n).toBeGreaterThan(200);
  });

  test("a production context and a store with a firm refuse it; its store is known as a demo's", async () => {
    await expect(foundDemoFirm(context)).rejects.toThrow("There is a firm in this store already");
    const production = await openTestContext(demoNoon, { environment: "production" });
    await expect(foundDemoFirm(production)).rejects.toThrow("not founded in production");
    expect(await production.db.prisma.firm.findMany()).toEqual([]);
    await production.close();
    expect(await context.db.prisma.firm.findMany()).toMatchObject([{ demo: true }]);
  });
});

describe("wear", () => {
  // What a gauge may err by, in mm; a reading that is better by more than that needs a renewal.
  const err = 0.3;

  test.each([
    ["front-tyre-tread-weekly", "front-tread", -1],
    ["rear-tyre-tread-weekly", "rear-tread", -1],
    ["front-lining", "front-lining", -1],
    ["rear-lining", "rear-lining", -1],
    ["chain-wear", "chain-length", 1],
  ])("%s never heals without a renewal on record", async (itemId, quantity, grows) => {
    const acts = await rows<{ mark: string; kind: string; answer: Measured | null; reading: number | null; quantity: string | null }>(
      `SELECT m.registration_mark AS mark, l.kind, d.quantity,
         (SELECT a FROM jsonb_array_elements(l.data->'submitted'->'answers') a WHERE a->>'itemId' = $1) AS answer,
         (l.data->'submitted'->'reading'->>'value')::float AS reading
       FROM ledger l JOIN machine m ON m.id = l.machine_id LEFT JOIN defect d ON d.id::text = l.data->>'defectId'
       WHERE l.kind IN ('weekly-inspection', 'defect-repaired') ORDER BY m.registration_mark, l.position`,
      [itemId],
    );
    const last = new Map<string, number>();
    let compared = 0;
    for (const { mark, kind, answer, reading, quantity: repaired } of acts) {
      if (kind === "defect-repaired") {
        if (repaired === quantity && reading !== null) last.set(mark, reading);
        continue;
      }
      if (answer?.asFound === undefined) continue;
      const before = last.get(mark);
      if (before !== undefined) {
        compared += 1;
        expect((answer.asFound - before) * grows, `${mark} ${before} -> ${answer.asFound}`).toBeGreaterThan(-err);
      }
      last.set(mark, answer.asLeft ?? answer.asFound);
    }
    expect(compared).toBeGreaterThan(150);
  });

  test("the odometer of a machine never goes back, and it has come thousands of kilometres", async () => {
    const checks = await ofMachine<{ km: number }>("K4M9T2", "(l.data->'submitted'->>'odometerKm')::int AS km", "daily-check");
    const distances = checks.map(({ km }) => km);
    expect(distances).toEqual([...distances].sort((one, other) => one - other));
    expect((distances.at(-1) ?? 0) - (distances[0] ?? 0)).toBeGreaterThan(3000);
  });

  test("a slow puncture: one tyre of the fleet loses more air than tyres do by themselves, at one temperature", async () => {
    const flagged: string[] = [];
    for (const { id, mark } of await machines()) {
      const { tyres } = await pressureTrend(context, await machine.ask(context, everyDepot, { id }));
      for (const { end, finding, low, points } of tyres) {
        if (finding !== "slow-puncture") continue;
        flagged.push(`${mark} ${end}`);
        expect(points.length).toBeGreaterThan(8);
        expect(low).toBeGreaterThan(10);
      }
    }
    expect(flagged).toEqual(["N6W4J7 rear"]);
    // The workshop of its depot has it among its work.
    const { depotId } = await context.db.prisma.machine.findFirstOrThrow({ where: { registrationMark: "N6W4J7" } });
    const plan = JSON.parse(await makeWorkPlan(context, viewOf(everyDepot, depotId), { days: 7 })) as WorkPlan;
    const looked = plan.days.flatMap(({ jobs }) => jobs.filter(({ kind }) => kind === "slow-puncture"));
    expect(looked.map(({ registrationMark, itemId }) => [registrationMark, itemId])).toEqual([["N6W4J7", "rear-tyre-pressure-weekly"]]);
  });

  test("a fall: told by its rider, and inspected on the same day before anybody rode it again", async () => {
    const [told, ...others] = await rows<{ mark: string; data: { submitted: { note: string } }; inspected: boolean }>(
      `SELECT m.registration_mark AS mark, l.data, EXISTS (SELECT 1 FROM weekly_inspection i
         WHERE i.machine_id = l.machine_id AND i.performed_at > l.performed_at AND i.performed_at < l.performed_at + interval '3 hours') AS inspected
       FROM ledger l JOIN machine m ON m.id = l.machine_id WHERE l.kind = 'machine-fell'`,
    );
    expect(told).toMatchObject({ mark: "K5P3D6", data: { submitted: { bent: ["levers"] } }, inspected: true });
    expect(others).toEqual([]);
  });

  test("a chain near its end: one of the fleet is to be watched or renewed, within a fifth of the two percent that its handbook allows", async () => {
    const worn: string[] = [];
    for (const { id, mark } of await machines()) {
      const { forecasts } = await forecastMachine(context, await machine.ask(context, everyDepot, { id }));
      const chain = forecasts.find(({ quantity }) => quantity === "chain-length");
      if (chain && ["watch", "renew-at-this-inspection"].includes(chain.advice)) worn.push(mark);
      if (mark !== "K4N1B7") continue;
      expect(chain?.n).toBeGreaterThan(8);
      expect(chain?.latest?.value).toBeGreaterThan(1.6);
      expect(chain?.latest?.value).toBeLessThanOrEqual(2);
    }
    expect(worn).toEqual(["K4N1B7"]);
  });

  test("tread and chain are measured at several places, and a tyre's pressure with the temperature of the air", async () => {
    const tread = (await readingsOf("K4N1B7", "front-tyre-tread-weekly")).at(-1);
    expect(tread?.places?.length).toBe(3);
    expect(tread?.asFound).toBe(Math.min(...(tread?.places ?? [])));
    const pressures = await readingsOf("N6W4J7", "rear-tyre-pressure-weekly");
    expect(pressures.every(({ celsius }) => celsius !== undefined)).toBe(true);
    expect(new Set(pressures.map(({ celsius }) => celsius)).size).toBeGreaterThan(2);
  });
});

describe("people and their ways", () => {
  test("one rider is through in seconds, the others take about a minute", async () => {
    const [hasty] = await rows<{ most: number; n: number }>(
      `SELECT max(duration_seconds) AS most, count(*)::int AS n FROM daily_check c JOIN staff s ON s.id = c.staff_id WHERE s.staff_number = 'R005'`,
    );
    const [others] = await rows<{ median: number }>(
      `SELECT percentile_cont(0.5) WITHIN GROUP (ORDER BY duration_seconds) AS median
       FROM daily_check c JOIN staff s ON s.id = c.staff_id WHERE s.staff_number <> 'R005'`,
    );
    expect(hasty?.n).toBeGreaterThan(40);
    expect(hasty?.most).toBeLessThan(25);
    expect(others?.median).toBeGreaterThan(50);
  });

  test("one mechanic's pressures end in zero far more often than chance would have it, another's do not", async () => {
    const shares = await rows<{ number: string; share: number }>(
      `SELECT s.staff_number AS number, avg(CASE WHEN (a->>'asFound')::numeric % 10 = 0 THEN 1 ELSE 0 END)::float AS share
       FROM ledger l JOIN staff s ON s.id = l.staff_id, jsonb_array_elements(l.data->'submitted'->'answers') a
       WHERE l.kind = 'weekly-inspection' AND a->>'itemId' LIKE '%-tyre-pressure-weekly' AND a->>'unit' = 'kPa' GROUP BY 1`,
    );
    const shareOf = (number: string): number => shares.find((one) => one.number === number)?.share ?? -1;
    expect(shareOf("M004")).toBeGreaterThan(0.6);
    expect(shareOf("M002")).toBeLessThan(0.3);
  });

  test("the figures show both, to whoever asks, and nobody else like them", async () => {
    const { people, gauges } = await checkHonesty(context, viewOf(everyDepot), {});
    const hasty = people.filter(({ tooFast }) => (tooFast.inAll.share ?? 0) > 0.5).map(({ staffNumber }) => staffNumber);
    expect(hasty).toEqual(["R005"]);
    // One in a thousand by chance, over four people.
    const uneven = gauges.filter(({ evenness }) => evenness !== null && evenness.p < 0.001);
    expect(uneven.map(({ staffNumber, zeros }) => [staffNumber, zeros.low > 0.15])).toEqual([["M004", true]]);
  });

  test("one depot has a rider more than machines, and somebody is told why there is none this morning", async () => {
    const [quay] = await rows<{ id: string; riders: string[]; machines: number }>(
      `SELECT d.id, (SELECT array_agg(s.id) FROM staff_depot p JOIN staff s ON s.id = p.staff_id WHERE p.depot_id = d.id AND s.role = 'rider') AS riders,
         (SELECT count(*) FROM machine m WHERE m.depot_id = d.id)::int AS machines
       FROM depot d WHERE d.name = 'Saltbriar Quay'`,
    );
    if (!quay) throw new Error("there is a quay");
    expect(quay.riders.length).toBe(quay.machines + 1);
    const day = localDay(context.clock.now(), "Europe/Lisbon");
    const riders = quay.riders.map((staffId) => ({ staffId }));
    const { allocations, unserved } = await allocateMachines(context, { depotId: quay.id, day, riders });
    expect(allocations.length + unserved.length).toBe(riders.length);
    expect(unserved.length).toBeGreaterThan(0);
    for (const { reason } of unserved) expect(reason).not.toBe("");
  });

  test("what is signed off was repaired by somebody else", async () => {
    expect(await count("defect WHERE status = 'signed-off'")).toBeGreaterThan(40);
    expect(await count("defect WHERE status = 'signed-off' AND second_person AND closed_by = repaired_by")).toBe(0);
  });
});

describe("stories to be found", () => {
  test.each([
    ["a recurring defect", "defect WHERE recurring_of IS NOT NULL AND item_id = 'indicators'", 2],
    ["sightings of an open defect", "defect WHERE sightings > 1", 1],
    ["a report of what was signed off before it arrived", "defect WHERE signed_off_between IS NOT NULL", 1],
    ["a fault that was not found", "defect WHERE status = 'not-found'", 2],
    ["a deferral", "ledger WHERE kind = 'defect-deferred'", 1],
    ["a wait for a part that goes on", "machine WHERE state->'defects' @> '[{\"waiting\": {}}]' AND registration_mark = 'N6W4J3'", 1],
    ["a note on a defect", "ledger WHERE kind = 'defect-noted'", 1],
    ["words alone, weighed anew", "ledger WHERE kind = 'defect-regraded'", 1],
    ["a machine that was withdrawn, and another that came back", "ledger WHERE kind IN ('machine-withdrawn', 'machine-returned')", 3],
    ["a machine that is late from another workshop", "machine WHERE state ? 'away' AND registration_mark = 'T9B6P4'", 1],
    ["a machine that came back from another workshop", "ledger WHERE kind = 'machine-taken-back'", 1],
    ["a machine that was scrapped", "ledger WHERE kind = 'machine-disposed'", 1],
    ["a model whose figures were corrected", "ledger WHERE kind = 'model-revised'", 1],
    ["checks that arrived late", "daily_check WHERE 'arrived-late' = ANY (flags)", 10],
    ["a part renewed at an inspection", `ledger WHERE kind = 'weekly-inspection' AND data::text LIKE '%"replaced"%'`, 5],
    ["a part of the list", "part", 10],
    ["a stay with an invoice", "ledger WHERE kind = 'machine-taken-back' AND data->'submitted' ? 'costMinor'", 1],
    ["a repair without its minutes", "ledger WHERE kind = 'defect-repaired' AND NOT data->'submitted' ? 'minutes'", 5],
    ["a repair with a part in it", "ledger WHERE kind = 'defect-repaired' AND jsonb_array_length(data->'submitted'->'parts') > 0", 20],
  ])("%s", async (_story, of, least) => {
    expect(await count(of)).toBeGreaterThanOrEqual(least);
  });

  test("a day ridden without a check", async () => {
    const day = addDays(localDay(new Date(demoNoon), "Europe/Lisbon"), -17);
    const around = await rows<{ day: string; km: number }>(
      `SELECT c.local_day::text AS day, c.odometer_km AS km FROM daily_check c JOIN machine m ON m.id = c.machine_id
       WHERE m.registration_mark = 'L2R8F5' ORDER BY c.performed_at`,
    );
    // That day was a Sunday: the story takes the Saturday before it.
    const unchecked = addDays(day, -1);
    expect(around.map((check) => check.day)).not.toContain(unchecked);
    const before = around.filter((check) => check.day < unchecked).at(-1);
    const after = around.find((check) => check.day > unchecked);
    expect((after?.km ?? 0) - (before?.km ?? 0)).toBeGreaterThan(110);
  });

  test("a day on which the quay's workshop has more to do than it has hours, in the days to come as in the past", async () => {
    const [quay] = await rows<{ id: string }>("SELECT id FROM depot WHERE name = 'Saltbriar Quay'");
    const plan = JSON.parse(await makeWorkPlan(context, viewOf(everyDepot, quay?.id ?? ""), { days: 14 })) as WorkPlan;
    const crowded = plan.days.filter(({ over }) => over);
    expect(crowded.length).toBeGreaterThan(0);
    for (const { hoursDue, hoursAvailable } of crowded) expect(hoursDue).toBeGreaterThan(hoursAvailable);
    const [worst] = await rows<{ minutes: number; hours: number }>(
      `WITH work AS (
         SELECT i.local_day AS day, i.depot_id, (l.data->'submitted'->>'durationSeconds')::int / 60.0 AS minutes
         FROM weekly_inspection i JOIN ledger l ON l.id = i.id WHERE i.local_day > DATE '2026-09-01'
         UNION ALL
         SELECT (d.seen_at AT TIME ZONE p.time_zone)::date, d.depot_id, (r.data->'submitted'->>'minutes')::int
         FROM defect d JOIN depot p ON p.id = d.depot_id JOIN ledger r ON r.kind = 'defect-repaired' AND r.data->>'defectId' = d.id::text)
       SELECT sum(minutes)::float AS minutes, p.workshop_hours_per_day::float AS hours FROM work w JOIN depot p ON p.id = w.depot_id
       WHERE p.name = 'Saltbriar Quay' GROUP BY w.day, p.workshop_hours_per_day ORDER BY 1 DESC LIMIT 1`,
    );
    expect(worst?.minutes).toBeGreaterThan((worst?.hours ?? 0) * 60);
  });
});
