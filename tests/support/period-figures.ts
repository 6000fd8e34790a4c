// Rows that the figures of a period are counted from, for tests of what is made of them.
import { type FoundDefect, figuresFrom, type PeriodFigures, type ServiceRow } from "../../src/figures/index.ts";

const dayMs = 86_400_000;

/** A minor defect of the chain found and still open, or as `changes` say. */
export const foundDefect = (changes: Partial<FoundDefect> = {}): FoundDefect => ({
  ...{ id: "d", n: 0, depotId: "quay", modelId: "chain", itemId: "chain", category: "minor", how: null, closedAt: null },
  seenAt: new Date("2026-06-10T08:00:00Z"),
  ...changes,
});

export const foundDefects = (count: number, changes: Partial<FoundDefect> = {}): FoundDefect[] =>
  Array.from({ length: count }, (_, index) => foundDefect({ id: `d${index}`, ...changes }));

interface Days {
  readonly machineDays: number;
  readonly grounded?: number;
  readonly papersExpired?: number;
  readonly inspectionOverdue?: number;
  readonly withdrawn?: number;
}

/** A row of so many days in service, of which some were lost, and of days withdrawn besides. */
export const serviceRow = (
  { machineDays, grounded = 0, papersExpired = 0, inspectionOverdue = 0, withdrawn = 0 }: Days,
  changes: Partial<ServiceRow> = {},
): ServiceRow => ({
  ...{ n: 0, depotId: "quay", modelId: "chain" },
  milliseconds: {
    serviceable: (machineDays - grounded - papersExpired - inspectionOverdue) * dayMs,
    grounded: grounded * dayMs,
    "papers-expired": papersExpired * dayMs,
    "inspection-overdue": inspectionOverdue * dayMs,
    withdrawn: withdrawn * dayMs,
  },
  ...changes,
});

export const figuresOfDays = (found: readonly FoundDefect[], days: Days): PeriodFigures => figuresFrom([serviceRow(days)], found, []);
