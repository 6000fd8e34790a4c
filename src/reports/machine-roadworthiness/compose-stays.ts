// The stays of a machine at other workshops during the days of its report: what they were for, and what was done there.
import type { Block } from "../../pdf/index.ts";
import type { Phrases } from "../phrases.ts";
import type { StayOnReport } from "../roadworthiness-facts.ts";

/** Nothing where there were none. */
export function stayBlocks(phrases: Phrases, stays: readonly StayOnReport[]): Block[] {
  if (stays.length === 0) return [];
  const { say, when, who } = phrases;
  return [
    { kind: "heading", level: 2, text: say("report.machine.stays") },
    {
      kind: "table",
      alt: say("report.machine.stays-alt"),
      columns: [
        { head: say("report.machine.stays.left"), share: 20 },
        { head: say("report.machine.stays.back"), share: 20 },
        { head: say("report.machine.stays.where"), share: 26 },
        { head: say("report.machine.stays.done"), share: 34 },
      ],
      rows: stays.map(({ since, told, back, takenBy }) => [
        when(since),
        back === null
          ? { text: say("report.machine.stays.still"), tone: "warn" as const, ...expectedNote(phrases, told) }
          : { text: when(back.at), ...(takenBy === null ? {} : { note: who(takenBy) }) },
        told === null ? say("record.forgotten") : { text: told.workshop, note: told.reason },
        back === null ? "" : doneThere(phrases, back),
      ]),
      empty: "",
    },
  ];
}

const expectedNote = ({ say, day }: Phrases, told: StayOnReport["told"]): { note?: string } =>
  told === null ? {} : { note: say("report.machine.stays.expected", { day: day(told.expectedDay) }) };

function doneThere({ say }: Phrases, { workDone, parts, repaired }: NonNullable<StayOnReport["back"]>): string {
  const fitted = parts.map(({ name, quantity }) => say("report.defect.part", { quantity, name })).join(", ");
  const there = repaired === 0 ? "" : say("report.machine.stays.repaired", { count: repaired });
  const said = [workDone ?? "", fitted, there].filter((part) => part !== "").join("; ");
  return said === "" ? say("report.machine.stays.nothing") : said;
}
