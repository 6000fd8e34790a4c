// A weekly inspection of a machine that nothing is wrong with.
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import { readingAsNew } from "../../shared/rules/as-new.ts";
import type { JudgedMachine } from "../../shared/rules/judge-reading.ts";

/** The weekly sheet of a machine, every item well and every reading as new. */
export const answersAsNew = (machine: JudgedMachine): WeeklyAnswer[] =>
  itemsFor(machine.features, "weekly").map(({ id, quantity }): WeeklyAnswer => {
    if (quantity === undefined) return { itemId: id, result: "ok" };
    const { value, unit } = readingAsNew(quantity, machine);
    return { itemId: id, result: "ok", asFound: value, unit };
  });
