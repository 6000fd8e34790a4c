// One part on both sheets: what the pairs promise, and that a reading of one item of a part is not taken for another's.
import { describe, expect, test } from "vitest";
import { partsOf, samePart } from "../../shared/catalogue/parts.ts";
import { itemById, itemsFor } from "../../shared/catalogue/sheet.ts";
import { competenceSchema } from "../../shared/contracts/common.ts";
import { findingOf } from "../../shared/rules/answers.ts";
import { repair, signOff } from "../../shared/rules/course.ts";
import { recordFinding } from "../../shared/rules/findings.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { everyItem, testMachine } from "../support/machines.ts";
import { sameSeen, seenDailyOnly } from "../support/same-seen.ts";

const ofDaily = everyItem.filter(({ kind }) => kind === "daily");
const hasPart = (id: string): boolean => partsOf({ itemId: id, observationIds: [] }).length > 0;
const daily = ofDaily.filter(({ id }) => hasPart(id)).map((item) => ({ id: item.id, item }));

describe("the pairs", () => {
  test("are there for every daily item but what the rider wears", () => {
    expect(ofDaily.filter(({ id }) => !hasPart(id)).map(({ id }) => id)).toEqual(["rider-gear"]);
  });

  test("name items that are on the sheets, and every observation that they tell apart", () => {
    for (const { id, item } of daily) {
      expect([id, item.kind]).toEqual([id, "daily"]);
      for (const part of partsOf({ itemId: id, observationIds: [] })) expect([part, itemById(part)?.kind]).toEqual([part, "weekly"]);
      for (const { id: seen } of item.observations) expect(partsOf({ itemId: id, observationIds: [seen] }).length, seen).toBeGreaterThan(0);
    }
  });

  test("take the same competence and the same second person on both sheets: no part is signed off more easily by the other one", () => {
    for (const { id, item } of daily) {
      for (const part of partsOf({ itemId: id, observationIds: [] })) {
        const weekly = itemById(part);
        expect([id, part, weekly?.competence, weekly?.secondPerson]).toEqual([id, part, item.competence, item.secondPerson]);
      }
    }
  });

  test("one thing has one category on both sheets, and what only one of them sees is known", () => {
    // Names of both ends are told apart by their parts, so the end is left out of them.
    const bare = (seen: string): string => seen.replace(/^(front|rear)-(?!fork|suspension|damper|lamps)/, "");
    const met = new Set<string>();
    for (const { id: itemId, item } of daily)
      for (const { id, category } of item.observations) {
        const [name, what] = [bare(id), id.slice(itemId.length + 1)];
        const offered = partsOf({ itemId, observationIds: [id] }).flatMap((part) => itemById(part)?.observations ?? []);
        const same = offered.filter((seen) => seen.id.endsWith(`.${what}`) || sameSeen[name]?.includes(bare(seen.id)));
        const why = `${name}: seen on the weekly sheet too, there or by sameSeen, or else in seenDailyOnly (tests/support/same-seen.ts)`;
        expect([name, same.length > 0], why).toEqual([name, !seenDailyOnly.has(name)]);
        for (const seen of same) expect([id, seen.id, seen.category]).toEqual([id, seen.id, category]);
        for (const seen of same)
          expect([id, seen.id, seen.onlyRepair]).toEqual([id, seen.id, item.observations.find((one) => one.id === id)?.onlyRepair]);
        met.add(name);
      }
    expect(
      [...Object.keys(sameSeen), ...seenDailyOnly].filter((name) => !met.has(name)),
      "of what is no longer on the sheet",
    ).toEqual([]);
  });

  test("match a daily with a weekly item only, by what was seen", () => {
    const knock = { itemId: "steering", observationIds: ["steering.knock"] };
    expect(samePart(knock, { itemId: "steering-head", observationIds: [] })).toBe(true);
    expect(samePart(knock, { itemId: "front-fork", observationIds: [] })).toBe(false);
    expect(samePart(knock, { itemId: "throttle", observationIds: [] })).toBe(false);
    for (const one of itemsFor(testMachine.features, "weekly"))
      for (const other of itemsFor(testMachine.features, "weekly"))
        expect(samePart({ itemId: one.id, observationIds: [] }, { itemId: other.id, observationIds: [] })).toBe(false);
  });
});

test("a reading that a repair took at another item of the part does not sign the defect off", () => {
  const place = { timeZone: "Europe/London", policy: defaultPolicy };
  const at = new Date("2026-07-13T08:00:00.000Z");
  const fresh = newMachineState(1000, at.toISOString());
  const found = recordFinding(fresh, findingOf("chain", ["chain.link-clip-wrong"], "2026-12"), "d", { seenAt: at, recordedAt: at }, place);
  expect(found.defect.quantity).toBe("chain-slack");
  const signed = (quantity: "chain-slack" | "chain-length") => {
    const done = { id: "r", staffId: "a", performedAt: at.toISOString(), reading: { quantity, value: 20, unit: "mm" as const } };
    const repaired = repair(found.state, "d", done, 1);
    if (repaired.refused !== null) throw new Error(repaired.refused);
    const closing = { recordId: "s", closer: { staffId: "b", competences: competenceSchema.options }, reading: null, recordedAt: at };
    return signOff(repaired.state, "d", closing, () => true, place).refused;
  };
  expect([signed("chain-length"), signed("chain-slack")]).toEqual(["reading-missing", null]);
});
