// The list of what may never happen, with the store and over HTTP: random courses, and after each step every way to ask agrees.
import { randomUUID } from "node:crypto";
import fc from "fast-check";
import type { Response } from "supertest";
import { expect, test } from "vitest";
import type { Paper } from "../../shared/contracts/papers.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { type Actor, viewOf } from "../../src/platform/index.ts";
import { defect, machine } from "../../src/reports/about.ts";
import { takeDefectReport } from "../../src/reports/defect-report/take-defect-report.ts";
import { takeDefectSummary } from "../../src/reports/defect-summary/take-defect-summary.ts";
import { takeFleetRoadworthiness } from "../../src/reports/fleet-roadworthiness/take-fleet-roadworthiness.ts";
import { takeMachineRoadworthiness } from "../../src/reports/machine-roadworthiness/take-machine-roadworthiness.ts";
import { type BoardMachine, boardOf, onBoard, repairOf } from "../support/acts.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine } from "../support/sheets.ts";
import { anyStep, dailyBodyOf, readingOf, type Step, sightingOf, weeklyBodyOf } from "../support/steps.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const zone = "Europe/London";
const mechanics = ["M001", "M002", "M003", "M001"] as const;
const anybody = ["R001", "R002", "M001", "M002"] as const;
const now = (): Date => app.context.clock.now();

/** All that can be asked about a moment: the machine's line on the board, its history, and the reports. */
interface Shown {
  readonly line: BoardMachine;
  /** at each third moment: they take long to tell */
  readonly told: { readonly history: unknown; readonly reports: readonly unknown[] } | null;
}

interface Course {
  readonly machineId: string;
  state: MachineState;
  /** what was shown at each moment at which it was asked, the last time that it was */
  readonly shown: Map<string, Shown>;
  /** every defect that the machine ever had */
  readonly defectIds: Set<string>;
}

/** Sends what the step says; null for one that has nothing to send. Every act from the field can be sent again. */
async function send(step: Step, course: Course): Promise<{ again: (() => Promise<Response>) | null; answer: Response } | null> {
  const { machineId, state } = course;
  const performedAt = new Date(now().getTime() - step.minutesAgo * 60_000).toISOString();
  const mechanic = await as(mechanics[step.who] ?? "M001");
  const person = await as(anybody[step.who] ?? "R001");
  const field = { id: randomUUID(), machineId, performedAt };
  const post = async (client: typeof person, path: string, body: object) => {
    const again = async () => await client.post(path).send(body);
    return { again, answer: await again() };
  };
  const defect = state.defects[step.defect % Math.max(1, state.defects.length)];
  const reading = defect && readingOf(step.reading, defect.quantity, testMachine);
  const measured = { id: field.id, ...(reading ? { reading } : {}) };
  const onDefect = (act: string, body: object) => (defect ? post(mechanic, `/v1/defects/${defect.id}/${act}`, body) : null);
  switch (step.act) {
    case "pass":
      app.context.clock.advance(step.minutes * 60_000);
      return null;
    case "daily-check":
      return post(
        person,
        "/v1/daily-checks",
        dailyBodyOf(testMachine, step, { ...field, odometerKm: Math.max(0, state.odometerKm + step.kmSince) }),
      );
    case "weekly-inspection":
      return post(mechanic, "/v1/weekly-inspections", weeklyBodyOf(testMachine, step, { ...field, odometerKm: state.odometerKm }));
    case "report": {
      const { performedAt: seenAt, ...rest } = field;
      return post(person, "/v1/defects", { ...rest, seenAt, ...sightingOf(testMachine, "daily", step.seen) });
    }
    case "repair":
      return onDefect("repairs", {
        ...repairOf(app, { performedAt, parts: step.parts === 0 ? [] : [{ name: "Part", quantity: 1 }] }),
        ...measured,
      });
    case "sign-off":
      return onDefect("sign-off", measured);
    case "not-found":
      return onDefect("not-found", { ...measured, reason: "Looked twice and tried it on the road" });
    case "defer":
      return onDefect("deferral", { id: field.id, untilDay: addDays(localDay(now(), zone), step.days), reason: "The part is on its way" });
    case "wait": {
      const expectedDay = addDays(localDay(now(), zone), step.days);
      return onDefect("waiting", { id: field.id, part: "Part", reason: "Safe to ride until it comes", expectedDay });
    }
    case "re-grade":
      return onDefect("regrades", { id: field.id, category: step.category, reason: "Looked at it closely" });
    case "fall":
      return post(person, `/v1/machines/${machineId}/falls`, { id: field.id, happenedAt: performedAt, hit: "slid" });
    case "withdraw":
    case "return": {
      const withdrawn = step.act === "withdraw" ? { reason: "Sent for paint" } : null;
      return { again: null, answer: await (await as("F001")).patch(`/v1/machines/${machineId}`).send({ withdrawn }) };
    }
    case "paper": {
      const today = localDay(now(), zone);
      const kind = step.who % 2 === 0 ? "insurance" : "roadworthiness-test";
      const paper = { kind, number: "7", validFrom: addDays(today, -30), validTo: addDays(today, step.days) };
      return { again: null, answer: await (await as("F001")).post(`/v1/machines/${machineId}/papers`).send(paper) };
    }
    case "end-paper": {
      const manager = await as("F001");
      const { items } = (await manager.get(`/v1/machines/${machineId}/papers`).query({ limit: 200 })).body as { items: Paper[] };
      const paper = items.filter(({ ending }) => ending === null)[step.defect % Math.max(1, items.length)];
      if (!paper) return null;
      return post(manager, `/v1/papers/${paper.id}/ending`, {
        id: field.id,
        day: addDays(localDay(now(), zone), step.days),
        reason: step.reason,
      });
    }
    case "policy": {
      const { secondPerson, clearanceHours, inspectionEveryDays, minorDefectDays } = step;
      const policy = { ...defaultPolicy, secondPerson, clearanceHours, inspectionEveryDays, minorDefectDays };
      return { again: null, answer: await (await as("F001")).put("/v1/policy").send(policy) };
    }
  }
}

/** A paper of a past moment says which in its title, its box and its file name: all else is to be the same. */
const withoutMoment = (paper: object): unknown =>
  JSON.parse(
    JSON.stringify(paper)
      .replaceAll(/,"note":"As at [^".]*\."/g, "")
      .replaceAll(/As at [^".]*\. /g, "")
      .replaceAll(/, as at \d+ \w+ \d{4}, \d\d:\d\d/g, "")
      .replaceAll(/-as-at-[0-9TZ-]+\.pdf/g, ".pdf"),
  );

/** What history and reports say, now or as at a moment; the head of a report alone tells when it was printed. */
async function historyAndPapers({ machineId, defectIds }: Course, at: { at?: string }): Promise<Shown["told"]> {
  const history = await (await as("A001"))
    .get(`/v1/machines/${machineId}/history`)
    .query({ limit: 200, ...at })
    .expect(200);
  const { depotId } = (await (await as("A001")).get(`/v1/machines/${machineId}`)).body;
  const auditor: Actor = {
    ...{ staffId: app.cast.staffId("A001"), sessionId: "", staffNumber: "A001", name: "Person A001" },
    ...{ role: "auditor", roles: ["auditor"], depotIds: null, competences: [], mustChangeSecret: false, licenceClass: null },
  };
  const files = [
    await takeMachineRoadworthiness(app.context, auditor, await machine.ask(app.context, auditor, { id: machineId, ...at }), at, "en"),
    await takeDefectSummary(app.context, auditor, viewOf(auditor, depotId), at, "en"),
    await takeFleetRoadworthiness(app.context, auditor, viewOf(auditor, depotId), at, "en"),
  ];
  for (const defectId of defectIds) {
    const found = await Promise.resolve(defect.ask(app.context, auditor, { id: defectId, ...at })).catch((error: unknown) => {
      // Asked about a moment before it was found.
      if ((error as { status?: number }).status !== 404) throw error;
    });
    if (found) files.push(await takeDefectReport(app.context, auditor, found, at, "en"));
  }
  return {
    history: history.body.items,
    reports: files.map(({ report, fileName }) => withoutMoment({ fileName, blocks: report.blocks, period: report.head.period })),
  };
}

async function look(course: Course, took: string[]): Promise<void> {
  const { machineId, shown, defectIds } = course;
  const rebuilt = await rebuildState(app.context.db, machineId);
  expect(rebuilt?.differences, took.join(" ")).toEqual([]);
  const state = [...(rebuilt?.states.values() ?? [])].at(-1);
  if (!state) throw new Error("a machine has records");
  course.state = state;

  const line = await onBoard(as, machineId);
  const single = await (await as("R001")).get(`/v1/machines/${machineId}`).expect(200);
  expect([single.body.standing, single.body.reasons]).toEqual([line.standing, line.reasons]);

  const listed = await (await as("A001")).get("/v1/defects").query({ machineId, limit: 200 }).expect(200);
  for (const { id } of listed.body.items as { id: string }[]) defectIds.add(id);
  shown.set(now().toISOString(), { line, told: took.length % 3 === 0 ? await historyAndPapers(course, {}) : null });
  const open = (listed.body.items as { id: string; grounds: boolean; closedAt: string | null }[]).filter(
    ({ closedAt }) => closedAt === null,
  );
  expect(open.map(({ id }) => id).sort()).toEqual(state.defects.map(({ id }) => id).sort());
  const grounding = open.filter(({ grounds }) => grounds).map(({ id }) => id);
  const named = line.reasons.filter(({ code }) => code === "grounding-defect" || code === "minor-defect-overdue");
  expect(new Set(grounding)).toEqual(new Set(named.map(({ defectId }) => defectId)));
  if (grounding.length > 0) expect(["grounded", "withdrawn"]).toContain(line.standing);
}

const rare = new Map<string, number>();

test("after each step of a random course the board, the machine, its defects and its records agree, and the past stays as it was shown", async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(anyStep, { minLength: 10, maxLength: 40 }), async (steps) => {
      await (await as("F001")).put("/v1/policy").send(defaultPolicy).expect(200);
      app.context.clock.advance(60_000);
      const machineId = await addTestMachine(app, { inspected: false });
      const course: Course = { machineId, state: undefined as never, shown: new Map(), defectIds: new Set() };
      const took: string[] = [];
      await look(course, took);
      for (const step of steps) {
        const sent = await send(step, course);
        const status = sent?.answer.status ?? 0;
        took.push(`${step.act}:${status}`);
        rare.set(`${step.act}:${status}`, (rare.get(`${step.act}:${status}`) ?? 0) + 1);
        expect(status, `${took.join(" ")} ${sent?.answer.text}`).toBeLessThan(500);
        await look(course, took);
        if (sent?.again && status === 201) {
          const again = await sent.again();
          expect([again.status, again.body], took.join(" ")).toEqual([200, sent.answer.body]);
        }
      }
      for (const [at, { line, told }] of course.shown) {
        const then = (await boardOf(as, { at })).machines.find((machine) => machine.machineId === machineId);
        expect(then, `${at} ${took.join(" ")}`).toEqual(line);
        if (told) expect(await historyAndPapers(course, { at }), `${at} ${took.join(" ")}`).toEqual(told);
      }
    }),
    // To make a course that failed shorter would take minutes; its steps are named as they are.
    { numRuns: 12, endOnFailure: true },
  );
  // The courses went where they should: defects were raised, repaired and closed on the way.
  for (const needed of ["daily-check:201", "weekly-inspection:201", "report:201", "repair:201"])
    expect(rare.get(needed) ?? 0, needed).toBeGreaterThan(0);
});
