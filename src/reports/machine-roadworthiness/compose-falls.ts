// The falls and collisions of a machine: what was told of each, and who inspected it after that.
import type { Block } from "../../pdf/index.ts";
import type { Phrases } from "../phrases.ts";
import type { FallOnReport } from "../roadworthiness-facts.ts";

/** Nothing where there were none. */
export function fallBlocks(phrases: Phrases, falls: readonly FallOnReport[]): Block[] {
  if (falls.length === 0) return [];
  const { say, when, who } = phrases;
  return [
    { kind: "heading", level: 2, text: say("report.machine.falls") },
    {
      kind: "table",
      alt: say("report.machine.falls-alt"),
      columns: [
        { head: say("report.machine.falls.when"), share: 26 },
        { head: say("report.machine.falls.told"), share: 46 },
        { head: say("report.machine.falls.inspected"), share: 28 },
      ],
      rows: falls.map(({ at, by, told, inspection }) => [
        { text: when(at), note: who(by) },
        told === null ? say("record.forgotten") : { text: whatHappened(phrases, told), ...(told.note === null ? {} : { note: told.note }) },
        inspection === null
          ? { text: say("report.machine.falls.waits"), tone: "bad" as const }
          : { text: when(inspection.at), note: who(inspection.by) },
      ]),
      empty: "",
    },
  ];
}

const whatHappened = ({ say }: Phrases, { hit, bent }: NonNullable<FallOnReport["told"]>): string =>
  say("record.fell", { hit, bent: bent.length === 0 ? say("record.nothing") : bent.join(", ") });
