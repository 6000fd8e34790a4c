// How honest the checks are: counts become figures, each with its interval and a question. Nobody gets a score or is compared with anybody,
// and no figure has an automatic consequence.

import { itemsFor } from "../../shared/catalogue/sheet.ts";
import type { Conduct, Honesty } from "../../shared/contracts/insight.ts";
import { groupBy } from "../../shared/group-by.ts";
import { word } from "../../shared/words/index.ts";
import { nameOfItem } from "../../shared/words/say-reason.ts";
import type { NamedPerson } from "../people/index.ts";
import { figure } from "./figures.ts";
import type { CheckCountRow, DepotRow, FollowedRow, ModelRow, NotApplicableRow, SheetOfModel } from "./store.ts";

/** What a model's sheets ask, and at which items a rider and a mechanic look at the same thing. */
export function sheetOf({ id, features }: Pick<ModelRow, "id" | "features">): SheetOfModel {
  const daily = itemsFor(features, "daily").map((item) => item.id);
  const alike = itemsFor(features, "weekly").filter(({ dailyIds = [] }) => dailyIds.some((dailyId) => daily.includes(dailyId)));
  return { modelId: id, items: daily.length, comparable: [...daily, ...alike.map((item) => item.id)] };
}

/** The figures of checks that belong together: those of a person, or those at a depot. */
export function conductOf(checks: readonly CheckCountRow[], followed: readonly FollowedRow[]): Conduct {
  const sum = <Row>(rows: readonly Row[], of: (row: Row) => number): number => rows.reduce((total, row) => total + of(row), 0);
  const all = sum(checks, (row) => row.checks);
  return {
    checks: all,
    nil: figure(
      sum(checks, (row) => row.nil),
      all,
      "insight.question.nil",
    ),
    foundAfterNil: {
      ...figure(
        sum(followed, (row) => row.found),
        sum(followed, (row) => row.followed),
        "insight.question.found-after-nil",
      ),
      defectIds: [...new Set(followed.flatMap(({ defectIds }) => defectIds ?? []))].sort(),
    },
    tooFast: {
      inAll: figure(
        sum(checks, (row) => row.tooFast),
        all,
        "insight.question.too-fast",
      ),
      perItem: figure(
        sum(checks, (row) => row.tooFastPerItem),
        all,
        "insight.question.too-fast-item",
      ),
      underHalfMedian: figure(
        sum(checks, (row) => row.underHalfMedian),
        all,
        "insight.question.half-median",
      ),
    },
    proof: {
      missing: figure(
        sum(checks, (row) => row.proofMissing),
        all,
        "insight.question.proof-missing",
      ),
      implausible: figure(
        sum(checks, (row) => row.proofImplausible),
        all,
        "insight.question.proof-implausible",
      ),
    },
  };
}

/** A figure for each person who made checks, by staff number: any other order would read as one of suspicion. */
export function peopleOf(
  checks: readonly CheckCountRow[],
  followed: readonly FollowedRow[],
  names: ReadonlyMap<string, NamedPerson>,
): Honesty["people"] {
  const lookedAfter = groupBy(followed, ({ staffId }) => staffId);
  return byStaffNumber(
    [...groupBy(checks, ({ staffId }) => staffId)].map(([staffId, rows]) => ({
      ...personOf(staffId, names),
      ...conductOf(rows, lookedAfter.get(staffId) ?? []),
    })),
  );
}

export const depotsOf = (
  checks: readonly CheckCountRow[],
  followed: readonly FollowedRow[],
  depots: readonly DepotRow[],
): Honesty["depots"] =>
  depots.map(({ id, name }) => ({
    depotId: id,
    name,
    ...conductOf(
      checks.filter(({ depotId }) => depotId === id),
      followed.filter(({ depotId }) => depotId === id),
    ),
  }));

/** The sheets that were in use, with their median duration: checks that took less than half of it are asked about. */
export const sheetBars = (
  checks: readonly CheckCountRow[],
  models: readonly ModelRow[],
  sheets: readonly SheetOfModel[],
): Honesty["bars"]["sheets"] =>
  models.flatMap(({ id, name }) => {
    const rows = checks.filter(({ modelId }) => modelId === id);
    const items = sheets.find(({ modelId }) => modelId === id)?.items ?? 0;
    const [first] = rows;
    if (!first) return [];
    return [
      { modelId: id, modelName: name, items, checks: rows.reduce((sum, row) => sum + row.checks, 0), medianSeconds: first.medianSeconds },
    ];
  });

/** Items that a model has by its features and that somebody, standing before the machine, answered as not applicable: are the features right? */
export const featuresAsked = (rows: readonly NotApplicableRow[], models: readonly ModelRow[]): Honesty["notApplicable"] =>
  rows.map(({ machineIds, ...row }) => {
    const modelName = models.find(({ id }) => id === row.modelId)?.name ?? "";
    const itemName = nameOfItem(row.itemId);
    return {
      ...{ ...row, modelName, itemName, machineIds: [...machineIds] },
      question: word("insight.question.not-applicable", "en", { model: modelName, item: itemName }),
    };
  });

export const personOf = (staffId: string, names: ReadonlyMap<string, NamedPerson>) => ({
  staffId,
  staffNumber: names.get(staffId)?.staffNumber ?? "",
  name: names.get(staffId)?.name ?? "",
});

export const byStaffNumber = <Row extends { readonly staffNumber: string }>(rows: readonly Row[]): Row[] =>
  [...rows].sort((one, other) => (one.staffNumber < other.staffNumber ? -1 : 1));
