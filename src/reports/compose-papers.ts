// The tables of papers: those of one machine, each as it was recorded and ended; those of a fleet, each kind in a line.
import { addDays } from "../../shared/rules/calendar.ts";
import type { Cell, Table } from "../pdf/index.ts";
import type { MachineIdentity } from "./facts.ts";
import type { Phrases } from "./phrases.ts";
import type { MachineOnDay, Paper } from "./roadworthiness-facts.ts";

const isMistaken = ({ ending }: Paper): boolean => ending?.reason === "mistaken";

/** Until when the paper is valid, and how it was ended, if it was: one that was entered by mistake is never shown as valid. */
const validToCell = (phrases: Phrases, { validTo, ending, validFrom }: Paper, today: string): Cell | string => {
  const { say, day, when, who } = phrases;
  if (ending === undefined) {
    if (validTo === null) return say("report.machine.no-expiry");
    if (validTo < today) return { text: day(validTo), tone: "bad", note: say("report.machine.expired") };
    return validFrom > today ? { text: day(validTo), note: say("report.machine.not-yet") } : day(validTo);
  }
  const reason = say(`paper-ending.${ending.reason}`);
  const recorded = say("report.machine.ended-by", { who: who(ending.by), when: when(ending.at) });
  const note = [...(ending.note === null ? [] : [say("record.quoted", { text: ending.note })]), recorded].join("\n");
  if (ending.reason === "mistaken") return { text: say("report.machine.mistaken"), tone: "quiet", note };
  const last = addDays(ending.day, -1);
  return {
    text: last < validFrom ? say("report.machine.ended-at-once", { reason }) : say("report.machine.ended", { day: day(last), reason }),
    ...(ending.day <= today ? { tone: "bad" as const } : {}),
    note: validTo === null ? note : `${say("report.machine.was-to", { day: day(validTo) })}\n${note}`,
  };
};

/** The papers of one machine: valid ones first; those entered by mistake last, and not counted. */
export const papersTable = (phrases: Phrases, papers: readonly Paper[], today: string): Table => {
  const { say } = phrases;
  return {
    kind: "table",
    alt: say("report.machine.papers-alt"),
    columns: [
      { head: say("report.label.paper"), share: 26 },
      { head: say("report.label.number"), share: 20 },
      { head: say("report.label.valid-from"), share: 17 },
      { head: say("report.label.valid-to"), share: 37 },
    ],
    rows: [...papers]
      .sort((one, other) => Number(isMistaken(one)) - Number(isMistaken(other)))
      .map((paper) => [paper.kindName, paper.number ?? "\u2013", phrases.day(paper.validFrom), validToCell(phrases, paper, today)]),
    empty: say("report.machine.no-papers"),
  };
};

/** How a kind of paper stands, in a line. */
const heldLine = ({ say, day }: Phrases, { kindName, how, day: at }: MachineOnDay["papers"][number]): string =>
  say(`report.fleet.held.${how}`, { paper: kindName, day: day(at) });

/** An ending, in a sentence with who recorded it. */
const endingLine = (
  { say, day, who, whenAt }: Phrases,
  { kindName, number, ending }: MachineOnDay["endings"][number],
  machine: MachineIdentity,
): string => {
  const paper = number === null ? kindName : `${kindName} ${number}`;
  const reason = say(`paper-ending.${ending.reason}`);
  const what =
    ending.reason === "mistaken"
      ? say("report.fleet.ending.mistaken", { paper })
      : say("report.fleet.ending", { paper, reason, day: day(ending.day) });
  return `${what} (${say("report.machine.ended-by", { who: who(ending.by), when: whenAt(ending.at, machine) })})`;
};

/** The papers of a fleet: a line for each kind that a machine holds, and what was ended of late. */
export const fleetPapersTable = (phrases: Phrases, machines: readonly MachineOnDay[]): Table => {
  const { say } = phrases;
  return {
    kind: "table",
    alt: say("report.fleet.papers-alt"),
    columns: [
      { head: say("report.label.machine"), share: 14 },
      { head: say("report.machine.papers"), share: 40 },
      { head: say("report.fleet.ended-of-late"), share: 46 },
    ],
    rows: machines
      .filter(({ papers, endings }) => papers.length + endings.length > 0)
      .map(({ machine, papers, endings }) => [
        { text: machine.registrationMark, bold: true },
        papers.length === 0
          ? say("report.machine.no-papers")
          : {
              text: papers.map((paper) => heldLine(phrases, paper)).join("\n"),
              ...(papers.some(({ how }) => how === "ended" || how === "failed") ? { tone: "bad" as const } : {}),
            },
        endings.length === 0 ? "\u2013" : endings.map((one) => endingLine(phrases, one, machine)).join("\n"),
      ]),
    empty: say("report.fleet.papers-empty"),
  };
};
