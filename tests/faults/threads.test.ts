// Long computations on threads: what goes wrong with one is that call's failure and nobody else's, what waits has a most, and who hangs up is
// not worked for. What a thread gives back is what the same function gives here.
import { randomUUID } from "node:crypto";
import { pino } from "pino";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { workPlanSchema } from "../../shared/contracts/planning.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { drawPdf } from "../../src/pdf/index.ts";
import { allocateAsked, jobsOfAll, type MachineToPlan, type PlanAsked, type planFed } from "../../src/planning/on-thread.ts";
import { planOf } from "../../src/planning/plan-of.ts";
import { openThreads, type Threads, threadWork } from "../../src/platform/index.ts";
import { composeDefectReport, composeFleetReview, composeMachineRoadworthiness } from "../../src/reports/index.ts";
import type { drawWhole } from "../../src/reports/on-thread.ts";
import * as sample from "../reports/sample-facts.ts";
import { photosOf } from "../reports/sample-photos.ts";
import { review } from "../reports/sample-review.ts";
import * as roadworthy from "../reports/sample-roadworthiness.ts";
import { testMachine } from "../support/machines.ts";
import type * as doings from "../support/on-thread.ts";

type Doings = typeof doings;
const work = <Name extends keyof Doings>(name: Name) => threadWork<Doings[Name]>(import.meta.url, "../support/on-thread", name);
const silent = pino({ level: "silent" });

let threads: Threads;
beforeAll(() => {
  threads = openThreads(silent, { mostThreads: 1, mostWaiting: 1, mostMemoryMb: 96 });
});
afterAll(() => threads.close());

/** Occupies the one thread until `end` is called. */
async function occupy() {
  const flag = new Int32Array(new SharedArrayBuffer(8));
  const done = threads.run(work("waits"), { flag });
  // It has begun: nothing is queued any more.
  while (Atomics.load(flag, 1) === 0) await new Promise((next) => setTimeout(next, 5));
  return {
    done,
    end: () => {
      Atomics.store(flag, 0, 1);
      Atomics.notify(flag, 0);
    },
  };
}

describe("a thread", () => {
  test("gives back what the function gives", async () => {
    expect(await threads.run(work("twice"), { number: 21 })).toBe(42);
  });

  test("that throws fails its call with the same error, and works on", async () => {
    await expect(threads.run(work("fails"), undefined as never)).rejects.toThrow(new RangeError("no such number"));
    expect(await threads.run(work("twice"), { number: 1 })).toBe(2);
  });

  test.each(["dies", "swells"] as const)("that %s is its call's failure: the process and the next call go on", async (name) => {
    await expect(threads.run(work(name), undefined as never)).rejects.toThrow();
    expect(await threads.run(work("twice"), { number: 2 })).toBe(4);
  });

  test("that dies while it is fed fails the call instead of waiting for ever", async () => {
    await expect(threads.feed(work("diesFed"), 0, [[1], [2], [3]])).rejects.toThrow();
  });

  test("is fed batch by batch", async () => {
    expect(await threads.feed(work("adds"), 1, [[1, 2], [], [3]])).toBe(7);
  });
});

describe("what waits for a thread", () => {
  test("has a most: who comes after is told to come again", async () => {
    const busy = await occupy();
    const queued = threads.run(work("twice"), { number: 1 });
    await expect(threads.run(work("twice"), { number: 2 })).rejects.toMatchObject({
      code: "not-ready",
      extra: { headers: { "retry-after": expect.any(String) } },
    });
    await expect(threads.feed(work("adds"), 0, [[1]])).rejects.toMatchObject({ code: "not-ready" });
    busy.end();
    expect([await busy.done, await queued]).toEqual(["done", 2]);
  });

  test("goes when its caller hangs up, and leaves its place to the next", async () => {
    const busy = await occupy();
    const gone = new AbortController();
    const queued = threads.run(work("twice"), { number: 1 }, gone.signal);
    gone.abort();
    await expect(queued).rejects.toMatchObject({ code: "not-ready" });
    const next = threads.run(work("twice"), { number: 3 });
    busy.end();
    expect(await next).toBe(6);
    await busy.done;
  });

  test("is given the thread of one who hangs up in the middle, whatever that was doing", async () => {
    const gone = new AbortController();
    const spinning = threads.run(work("spins"), undefined as never, gone.signal);
    const next = threads.run(work("twice"), { number: 4 });
    gone.abort();
    await expect(spinning).rejects.toMatchObject({ code: "not-ready" });
    expect(await next).toBe(8);
  });
});

test("closing ends what is under way and lets nothing more begin", async () => {
  const own = openThreads(silent, { mostThreads: 1, mostWaiting: 1, mostMemoryMb: 96 });
  const spinning = own.run(work("spins"), undefined as never);
  const ended = expect(spinning).rejects.toMatchObject({ code: "not-ready" });
  await own.close();
  await ended;
  await expect(own.run(work("twice"), { number: 1 })).rejects.toMatchObject({ code: "not-ready" });
});

describe("on a thread as here", () => {
  test("a paper has the same bytes, pictures included", async () => {
    const photos = await photosOf([80, 60], null, [45, 80]);
    const papers = [
      composeDefectReport(sample.defectReport({ photos })),
      composeMachineRoadworthiness(roadworthy.fullMachine()),
      composeFleetReview(review()),
    ];
    for (const paper of papers) {
      const here: Buffer[] = [];
      for await (const chunk of drawPdf(paper)) here.push(chunk as Buffer);
      const there = await threads.run(threadWork<typeof drawWhole>(import.meta.url, "../../src/reports/on-thread", "drawWhole"), paper);
      expect(Buffer.from(there).equals(Buffer.concat(here))).toBe(true);
    }
  });

  test("a plan is the same, however its machines are cut into batches", async () => {
    const now = new Date("2026-07-13T04:30:00.000Z");
    const machines = Array.from({ length: 7 }, (_, index): MachineToPlan => {
      const lastInspectionAt = new Date(now.getTime() - index * 86_400_000).toISOString();
      const state = { ...newMachineState(1000, now.toISOString()), firstUseDue: null, lastInspectionAt };
      const records = {
        inspections: [],
        repairs: [],
        closings: [],
        checks: [],
        odometerSet: [],
        away: [],
        added: { at: lastInspectionAt, odometerKm: 1000 },
      };
      return { machine: { ...testMachine, id: randomUUID(), registrationMark: `T${index}`, state }, records, pressures: [] };
    });
    const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
    const horizon = { ...depotRules, today: "2026-07-13", lastDay: addDays("2026-07-13", 40) };
    const asked: PlanAsked = { depot: { id: randomUUID(), workshopHoursPerDay: 8 }, horizon, now, days: 28 };
    const here = workPlanSchema.parse(planOf(asked.depot, jobsOfAll(machines, asked), horizon, 28));
    const batches = [machines.slice(0, 3), machines.slice(3)];
    const there = await threads.feed(
      threadWork<typeof planFed>(import.meta.url, "../../src/planning/on-thread", "planFed"),
      asked,
      batches,
    );
    expect(JSON.parse(there)).toEqual(here);
    expect(here.days.flatMap(({ jobs }) => jobs).length).toBeGreaterThan(7);
  });

  test("an allocation is the same", async () => {
    const riders = ["a", "b", "c"].map((staffId) => ({ staffId, licenceClass: null, needsLoadBox: false, rodeBefore: "m2" }));
    const machines = ["m1", "m2"].map((id) => ({ id, engineCc: 110, hasLoadBox: true, riddenBy: [] }));
    const there = await threads.run(threadWork<typeof allocateAsked>(import.meta.url, "../../src/planning/on-thread", "allocateAsked"), {
      riders,
      machines,
    });
    expect(there).toEqual(allocateAsked({ riders, machines }));
  });
});
