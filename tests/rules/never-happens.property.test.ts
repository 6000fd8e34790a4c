// The list of what may never happen, against random courses through the rules alone: thousands of them, with records that come late,
// people without the competence, policies that change and the night in which the clocks do.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { samePart } from "../../shared/catalogue/parts.ts";
import { itemById, itemsFor } from "../../shared/catalogue/sheet.ts";
import { competenceSchema, type Standing } from "../../shared/contracts/common.ts";
import { addDays, endOfDay } from "../../shared/rules/calendar.ts";
import { judgeReading } from "../../shared/rules/judge-reading.ts";
import { groundingCount, grounds, hasLastDay, type MachineState, type OpenDefect } from "../../shared/rules/machine-state.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { type Remembered, World } from "../support/course-world.ts";
import { testMachine } from "../support/machines.ts";
import { anyStep, type Step } from "../support/steps.ts";

const courses = 800;

const people = fc
  .array(fc.subarray([...competenceSchema.options]), { minLength: 4, maxLength: 4 })
  .map((all) =>
    all.map((competences, index) => ({ staffId: `person-${index}`, competences: index === 0 ? competenceSchema.options : competences })),
  );

const courseOf = (step: fc.Arbitrary<Step>) =>
  fc.record({
    people,
    timeZone: fc.constantFrom("Europe/London", "Asia/Ho_Chi_Minh", "America/New_York", "Pacific/Apia"),
    // Summer, and the weeks in which clocks go forward and back in London.
    start: fc.constantFrom("2026-07-13T04:30:00.000Z", "2026-03-26T05:00:00.000Z", "2026-10-22T21:10:00.000Z"),
    steps: fc.array(step, { minLength: 5, maxLength: 45 }),
  });

/** With so many finds and re-gradings to minor that two of them meet on one defect in every run of the test. */
const mostlyLowered = fc.oneof(
  anyStep.filter(({ act }) => act === "report" || act === "repair" || act === "pass"),
  anyStep
    .filter(({ act }) => act === "re-grade")
    .map((step): Step => (step.act === "re-grade" ? { ...step, defect: step.defect % 2, category: "minor" } : step)),
);

const mostlyInspected = fc.oneof(
  anyStep,
  anyStep.filter(({ act }) => act === "weekly-inspection"),
);

type Look = (world: World, step: Step, before: { state: MachineState; open: ReadonlyMap<string, Remembered> }) => void;

/** Drives random courses and looks after each step; `look` says what has to hold then. */
function always(look: Look, step = anyStep, numRuns = courses): void {
  fc.assert(
    fc.property(courseOf(step), ({ people, timeZone, start, steps }) => {
      const world = new World(testMachine, timeZone, new Date(start), people);
      for (const step of steps) {
        const before = { state: world.state, open: new Map([...world.open].map(([id, one]) => [id, { ...one }])) };
        world.take(step);
        look(world, step, before);
      }
    }),
    { numRuns },
  );
}

const later = (at: Date, minutes: number): Date => new Date(at.getTime() + minutes * 60_000);
const running = ({ state, now }: World) => state.clearances.filter((held) => held.validUntil > now.toISOString());
const second = (at: Date): number => Math.floor(at.getTime() / 1000);

describe("what may never happen", () => {
  test("a machine with an open grounding defect reads as grounded or withdrawn, now and at any later moment", () => {
    always((world) => {
      const grounding = [...world.open.values()].filter(({ category }) => grounds(category)).length;
      expect(groundingCount(world.state)).toBe(grounding);
      if (grounding === 0) return;
      for (const minutes of [0, 1, 700, 1440, 43_200]) {
        expect(["grounded", "withdrawn"]).toContain(standingAt(world.state, later(world.now, minutes), world.depotRules).standing);
      }
    });
  });

  test("a defect goes away by a sign-off or a finding of no fault, and by nothing else", () => {
    always((world) => {
      expect(world.state.defects.map(({ id }) => id).sort()).toEqual([...world.open.keys()].sort());
    });
  });

  test("a sign-off follows a repair made since the defect was last seen, by the competence, and by a second person where that is asked", () => {
    const how = { "sign-off": 0, "not-found": 0 };
    always((world) => {
      for (const { how: way, before, remembered, by, policy } of world.closings.splice(0)) {
        how[way] += 1;
        expect(by.competences).toContain(before.competence);
        const second = takesTwo(before, policy);
        if (way === "not-found") {
          expect(before.status).not.toBe("repaired");
          if (second) expect(remembered.looks.some((look) => look.finding === "not-found" && look.by !== by.staffId)).toBe(true);
          continue;
        }
        expect(remembered.repairedBy).not.toBeNull();
        if (second) expect(remembered.repairers).not.toContain(by.staffId);
      }
    });
    expect(Math.min(how["sign-off"], how["not-found"])).toBeGreaterThan(courses / 30);
  });

  test("an inspection signed by one without an item's competence leaves no work at it unsigned, and no grounding find at brakes, wheels or steering", () => {
    let worked = 0;
    always(
      (world) => {
        for (const { body, by, policy, raised } of world.inspections.splice(0)) {
          for (const { itemId, actions = [], asFound, asLeft, unit } of body.answers) {
            const item = itemById(itemId);
            if (!item || actions.length === 0) continue;
            const found = raised.find((defect) => defect.itemId === itemId || samePart(defect, { itemId, observationIds: [] }));
            // Tightening what was loosened for the chain belongs to the chain's own work.
            const finishes = item.finishes !== undefined && actions.every((action) => action === "tightened");
            const heavy = !finishes && actions.some((action) => ["adjusted", "tightened", "replaced"].includes(action));
            const competent = by.competences.includes(item.competence);
            if (heavy && !competent) {
              worked += 1;
              expect(found, `${itemId} ${actions.join()}`).toBeDefined();
            }
            if (item.quantity === undefined || asFound === undefined || unit === undefined) continue;
            const { category } = judgeReading({ ...testMachine, quantity: item.quantity, reading: { asFound, unit } }).asFound;
            if (category !== null && grounds(category) && item.secondPerson && policy.secondPerson !== "off" && asLeft !== undefined)
              expect(found?.category, itemId).not.toBe("minor");
          }
        }
      },
      mostlyInspected,
      150,
    );
    expect(worked).toBeGreaterThan(20);
  });

  test("a measured item is closed with a reading after the work that lies within its limits", () => {
    let measured = 0;
    always((world) => {
      for (const { before, reading } of world.closings.splice(0)) {
        if (before.quantity === null) continue;
        measured += 1;
        expect(reading).toBeTruthy();
        if (reading) expect(world.within(before.quantity, reading)).toBe(true);
      }
    });
    expect(measured).toBeGreaterThan(20);
  });

  test("a clearance ends with the depot's day, the policy's hours or 24 hours, and is given only where nothing stands against it", () => {
    const decisions = new Set<string>();
    always((world, _step, { state: before }) => {
      for (const { clearance, performedAt, policy } of world.given.splice(0)) {
        decisions.add(clearance.decision);
        if (clearance.decision === "do-not-ride") {
          expect(clearance.validUntil).toBeNull();
          expect(clearance.reasons.length).toBeGreaterThan(0);
          continue;
        }
        const until = new Date(clearance.validUntil ?? Number.NaN);
        expect(until.getTime()).toBeGreaterThan(world.now.getTime());
        expect(until.getTime()).toBeLessThanOrEqual(endOfDay(world.day(performedAt), world.timeZone).getTime());
        expect(until.getTime()).toBeLessThanOrEqual(performedAt.getTime() + Math.min(24, policy.clearanceHours) * 3_600_000);
        expect(expectedStanding(world)).toBe("nothing against it");
        if (world.groundedAt !== null) expect(second(performedAt)).toBeGreaterThanOrEqual(second(world.groundedAt));
        expect(before.withdrawn).toBeNull();
        expect(clearance.decision === "ride").toBe([...world.open.values()].every(({ category }) => !hasLastDay(category)));
      }
    });
    expect([...decisions].sort()).toEqual(["do-not-ride", "ride", "ride-with-defects"]);
  });

  test("no clearance runs on a machine that is grounded or withdrawn, nor one from before the last grounding", () => {
    always((world) => {
      if (["grounded", "withdrawn"].includes(expectedStanding(world))) expect(running(world)).toEqual([]);
      for (const held of running(world)) {
        if (world.groundedAt !== null) expect(second(new Date(held.performedAt))).toBeGreaterThanOrEqual(second(world.groundedAt));
      }
    });
  });

  test("a minor defect whose day was over before it arrived grounds, and ends the clearance that was given meanwhile", () => {
    const world = new World(testMachine, "Europe/London", new Date("2026-07-13T04:30:00.000Z"), [
      { staffId: "person-0", competences: competenceSchema.options },
    ]);
    const common = { who: 0, minutesAgo: 0, defect: 0, reading: "none" } as const;
    const items = itemsFor(testMachine.features, "daily");
    const item = items.findIndex(({ observations }) => observations.some(({ category }) => category === "minor"));
    const observation = items[item]?.observations.findIndex(({ category }) => category === "minor") ?? null;
    world.take({ ...common, act: "weekly-inspection", seen: [], poor: [], mended: [], measuredBy: 0 });
    world.take({ ...common, act: "daily-check", seen: [], leaveOut: false, kmSince: 0 });
    expect(running(world)).toHaveLength(1);
    world.policy = { ...world.policy, minorDefectDays: 2 };
    world.take({ ...common, act: "report", minutesAgo: 4 * 1440, seen: { item, observation } });
    expect(standingAt(world.state, world.now, world.depotRules).standing).toBe("grounded");
    expect(running(world)).toEqual([]);
    // A check made before the report came does not clear the machine after the sign-off either.
    world.take({ ...common, act: "pass", minutes: 5 });
    world.take({ ...common, act: "not-found", reading: "good" });
    world.take({ ...common, act: "daily-check", minutesAgo: 6, seen: [], leaveOut: false, kmSince: 0 });
    expect(standingAt(world.state, world.now, world.depotRules).standing).toBe("unchecked");
  });

  test("the standing is the first of withdrawn, grounded, papers-expired, inspection-overdue, unchecked, and fit takes a check of that day", () => {
    const stood = new Set<Standing>();
    always((world) => {
      const { standing, reasons } = standingAt(world.state, world.now, world.depotRules);
      stood.add(standing);
      const expected = expectedStanding(world);
      if (expected !== "nothing against it") expect(standing).toBe(expected);
      else {
        const today = world.day(world.now);
        const checkedToday = running(world).some(({ performedAt }) => world.day(new Date(performedAt)) === today);
        expect(standing).toBe(checkedToday ? "fit" : "unchecked");
      }
      const codes = reasons.map(({ code }) => code);
      expect(codes.filter((code) => code === "grounding-defect")).toHaveLength(groundingCount(world.state));
      expect(codes.includes("withdrawn")).toBe(world.withdrawn);
      expect(codes.filter((code) => code.startsWith("minor-defect")).length).toBe(
        [...world.open.values()].filter(({ category }) => hasLastDay(category)).length,
      );
    });
    expect(stood.size).toBe(6);
  });

  test("a minor defect has a last day, within the policy's days of its sighting and never past an inspection made since, but for a part", () => {
    let [inspected, waited] = [0, 0];
    always((world) => {
      for (const { id, dueDay, category, seenAt } of world.state.defects) {
        if (!hasLastDay(category)) {
          expect(dueDay).toBeNull();
          continue;
        }
        expect(dueDay).not.toBeNull();
        const expectedDays = world.open.get(id)?.waits.map(({ expectedDay }) => expectedDay) ?? [];
        const byAge = addDays(world.day(world.open.get(id)?.daysFrom ?? new Date(seenAt)), world.mostMinorDays);
        if ((dueDay ?? "") > byAge) waited += 1;
        expect([byAge, ...expectedDays].some((last) => (dueDay ?? "") <= last)).toBe(true);
        for (const day of world.open.get(id)?.inspectedOn ?? []) {
          inspected += 1;
          expect((dueDay ?? "") <= day).toBe(true);
        }
      }
    });
    expect(inspected).toBeGreaterThan(20);
    expect(waited).toBeGreaterThan(0);
  });

  test("only a mechanic's re-grading lowers a category, and only with the competence", () => {
    const order = ["advisory", "minor", "major", "dangerous"];
    always((world, step, before) => {
      for (const [id, was] of before.open) {
        const is = world.state.defects.find((defect) => defect.id === id);
        if (!is || order.indexOf(is.category) >= order.indexOf(was.category)) continue;
        expect(step.act).toBe("re-grade");
        expect(world.people[step.who % world.people.length]?.competences).toContain(is.competence);
      }
    });
  });

  test("steering, wheels and brakes that ground are lowered to minor by two who looked, and by nobody who repaired them since", () => {
    let released = 0;
    always((world) => {
      for (const { before, remembered, by, policy } of world.releases.splice(0)) {
        if (!takesTwo(before, policy)) continue;
        released += 1;
        expect(remembered.repairers).not.toContain(by.staffId);
        expect(remembered.looks.some((look) => look.finding === "minor" && look.by !== by.staffId)).toBe(true);
      }
    }, mostlyLowered);
    expect(released).toBeGreaterThan(0);
  });

  test("a defect waits for a part once, signed for with its competence, and for 28 days at most", () => {
    let waited = 0;
    always((world, step, before) => {
      for (const [id, { waits }] of world.open) {
        expect(waits.length).toBeLessThanOrEqual(1);
        const [wait] = waits;
        if (!wait || before.open.get(id)?.waits.length !== 0) continue;
        waited += 1;
        const competence = world.state.defects.find((defect) => defect.id === id)?.competence;
        expect(world.people[step.who % world.people.length]?.competences).toContain(competence);
        expect(wait.expectedDay <= addDays(world.day(world.now), 28)).toBe(true);
      }
    });
    expect(waited).toBeGreaterThan(0);
  });

  test("only a minor defect is deferred, and a repair does not outlive the next sighting", () => {
    always((world) => {
      for (const { id, status, category, repair } of world.state.defects) {
        if (status === "deferred") expect(category).toBe("minor");
        expect(repair?.staffId ?? null).toBe(world.open.get(id)?.repairedBy ?? null);
        if (status === "repaired") expect(repair).not.toBeNull();
      }
    });
  });
});

/** By the words of rules.md: an item of steering, wheels or brakes, where the finding grounds, or always, or never. */
function takesTwo({ secondPerson, secondPersonItem = secondPerson, category }: OpenDefect, { secondPerson: asked }: Policy): boolean {
  return secondPersonItem && (asked === "all" || (asked === "grounding" && grounds(category)));
}

/** What stands against the machine by the memory of what happened. */
function expectedStanding(world: World): Standing | "nothing against it" {
  const today = world.day(world.now);
  if (world.withdrawn) return "withdrawn";
  if (world.falls.length > 0 || [...world.open].some(([id, one]) => world.stands(id, one, world.now))) return "grounded";
  if ([...world.papers.values()].some((validTo) => validTo < today)) return "papers-expired";
  const due = world.inspectedOn === null ? null : addDays(world.inspectedOn, world.policy.inspectionEveryDays);
  return world.firstUseDue || due === null || due < today ? "inspection-overdue" : "nothing against it";
}
