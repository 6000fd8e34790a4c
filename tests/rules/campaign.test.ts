// A campaign's job in a machine's state: what it is, how it ends, and what nobody may change about it.
import { expect, test } from "vitest";
import { openJob } from "../../shared/rules/campaign.ts";
import { defer, inspectedOn, regrade, repair, signOff, waitForPart } from "../../shared/rules/course.ts";
import { recordFinding } from "../../shared/rules/findings.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { standingAt } from "../../shared/rules/standing.ts";

const now = new Date("2026-07-13T08:00:00.000Z");
const later = new Date("2026-07-20T08:00:00.000Z");
const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
const terms = { id: "c", name: "Stand bolts", itemId: null, grounds: false, dueDay: "2026-08-31" };
const mechanic = { staffId: "m", competences: ["general"] as const };
const before = { ...newMachineState(1000, "2026-07-01T08:00:00.000Z"), firstUseDue: null, lastInspectionAt: now.toISOString() };
const riding = openJob(before, terms, "d", now, depotRules);
const grounding = openJob(before, { ...terms, grounds: true }, "d", now, depotRules);

test("where it grounds, the machine stands still from then on, and every clearance ends", () => {
  const held = { checkId: "k", riderId: "r", decision: "ride" as const, performedAt: now.toISOString(), validUntil: later.toISOString() };
  const { state, defect, grounded } = openJob({ ...before, clearances: [held] }, { ...terms, grounds: true }, "d", now, depotRules);
  expect([grounded, defect.category, defect.dueDay, state.clearances]).toEqual([true, "major", null, []]);
  const reason = { code: "grounding-defect", campaign: "Stand bolts", campaignId: "c" };
  expect(standingAt(state, now, depotRules)).toMatchObject({ standing: "grounded", reasons: [reason, { code: "unchecked" }] });
});

test("where it does not, it is ridden to the campaign's last day, past the policy's days and any inspection, and grounds after it", () => {
  const inspected = inspectedOn(riding.state, later, "2026-07-20");
  expect(inspected.defects[0]).toMatchObject({ category: "minor", dueDay: "2026-08-31" });
  const fresh = { ...inspected, lastInspectionAt: "2026-08-31T08:00:00.000Z" };
  expect(standingAt(fresh, new Date("2026-08-31T12:00:00.000Z"), depotRules).standing).toBe("unchecked");
  expect(standingAt(fresh, new Date("2026-09-01T12:00:00.000Z"), depotRules).standing).toBe("grounded");
});

test("a machine that comes after the last day stands still at once", () => {
  expect(openJob(before, { ...terms, dueDay: "2026-07-12" }, "d", now, depotRules).grounded).toBe(true);
});

test("nobody weighs it anew or puts it off, and where it may be ridden it waits for a part to the last day at most", () => {
  for (const { state } of [riding, grounding]) {
    expect(regrade(state, "d", "dangerous", { ...mechanic, recordId: "r" }, now, depotRules).refused).toBe("campaign-decides");
    expect(regrade(state, "d", "minor", { ...mechanic, recordId: "r" }, now, depotRules).refused).toBe("campaign-decides");
    expect(defer(state, "d", "2026-07-14", now, depotRules).refused).toBe("campaign-decides");
  }
  const soon = openJob(before, { ...terms, dueDay: "2026-07-16" }, "d", now, depotRules).state;
  const wait = (expectedDay: string) => waitForPart(soon, "d", { recordId: "w", expectedDay }, mechanic, now, depotRules).refused;
  expect([wait("2026-07-16"), wait("2026-07-17")]).toEqual([null, "wait-past-campaign"]);
  expect(waitForPart(grounding.state, "d", { recordId: "w", expectedDay: "2026-07-17" }, mechanic, now, depotRules).refused).toBeNull();
});

test("a repair and a sign-off end it, and nothing that is found later is taken for it", () => {
  const words = { itemId: null, observationIds: [], category: "major", competence: "general", secondPerson: false } as const;
  const found = recordFinding(
    grounding.state,
    { ...words, quantity: null, onlyNewPart: false },
    "e",
    { seenAt: later, recordedAt: later },
    depotRules,
  );
  expect([found.kind, found.state.defects.length]).toEqual(["raised", 2]);
  const done = repair(grounding.state, "d", { id: "r", staffId: "m", performedAt: later.toISOString(), reading: null }, 0);
  if (done.refused !== null) throw new Error(done.refused);
  const closing = { recordId: "s", closer: mechanic, reading: null, recordedAt: later };
  const closed = signOff(done.state, "d", closing, () => true, depotRules);
  expect(closed.refused === null && closed.state.defects).toEqual([]);
});

test("who signs its job follows from the item that it is about: that item's competence, and its second person by category and policy", () => {
  const about = (itemId: string | null, grounds: boolean) => openJob(before, { ...terms, itemId, grounds }, "d", now, depotRules).defect;
  expect(about("front-brake-cable", true)).toMatchObject({ itemId: null, competence: "brakes", secondPerson: true });
  expect(about("front-brake-cable", false)).toMatchObject({ competence: "brakes", secondPerson: false, secondPersonItem: true });
  expect(about(null, true)).toMatchObject({ competence: "general", secondPerson: false });
});
