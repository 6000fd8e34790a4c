// The fleet on one day: what may not be ridden and why, then what is not checked yet, then what is fit.
import type { Standing } from "../../../shared/contracts/common.ts";
import { countStandings } from "../../../shared/rules/standing.ts";
import type { Block, Cell, Column, ReportDocument } from "../../pdf/index.ts";
import { fleetPapersTable } from "../compose-papers.ts";
import { headOf, notedAsAt, type Phrases, phrasesFor, reasonsInRow, standingTones, titledAsAt } from "../phrases.ts";
import type { FleetRoadworthinessFacts, MachineOnDay } from "../roadworthiness-facts.ts";
import { small } from "../small-print.ts";

/** The order of standings on a report: that of rules.md, machines grounded by a defect first. */
const order: readonly Standing[] = ["grounded", "inspection-overdue", "papers-expired", "withdrawn", "unchecked", "fit"];
const isAgainst = (standing: Standing): boolean => standing !== "fit" && standing !== "unchecked";

const byMark = (a: MachineOnDay, b: MachineOnDay): number =>
  a.machine.registrationMark < b.machine.registrationMark ? -1 : a.machine.registrationMark > b.machine.registrationMark ? 1 : 0;

const machineCell = (phrases: Phrases, machine: MachineOnDay): Cell => ({
  text: machine.machine.registrationMark,
  bold: true,
  note: phrases.modelOf(machine.machine),
});

const machineColumn = (phrases: Phrases): Column => ({
  head: phrases.say("report.label.machine"),
  share: 24,
});

/** The columns of the long lists: one line for each machine that needs no more. */
const oneLineColumns = (phrases: Phrases): Column[] => [
  { head: phrases.say("report.label.machine"), share: 11 },
  { head: phrases.say("report.label.model"), share: 24 },
];

const badge = (
  phrases: Phrases,
  { frame, isOver, machines }: FleetRoadworthinessFacts,
  counts: Readonly<Record<Standing, number>>,
): Block => {
  const { say } = phrases;
  const all = machines.length;
  if (all === 0)
    return {
      kind: "badge",
      tone: "quiet",
      title: say("report.fleet.no-machines"),
      reasons: [],
    };
  const against = order.filter(isAgainst).reduce((sum, standing) => sum + counts[standing], 0);
  const reasons = order
    .filter((standing) => isAgainst(standing) && counts[standing] > 0)
    .map((standing) =>
      say("report.fleet.badge.count", {
        standing: phrases.standing(standing),
        count: counts[standing],
      }),
    );
  const unchecked = counts.unchecked;
  const said = say(isOver ? "report.fleet.badge.note-then" : "report.fleet.badge.note", { fit: counts.fit, unchecked });
  const note = notedAsAt(phrases, frame, said);
  const title =
    against === 0
      ? say(isOver ? "report.fleet.badge.none-then" : "report.fleet.badge.none")
      : phrases.sayCounted(isOver ? "report.fleet.badge-then" : "report.fleet.badge", against);
  return {
    kind: "badge",
    tone: against > 0 ? "bad" : unchecked > 0 ? "quiet" : "good",
    title,
    note,
    reasons,
  };
};

const shareBar = (phrases: Phrases, counts: Readonly<Record<Standing, number>>, all: number): Block => {
  const { say } = phrases;
  const parts = order.map((standing) => ({
    label: phrases.standing(standing),
    value: counts[standing],
    tone: standingTones[standing],
  }));
  const spoken = parts.map((part) => `${part.label} ${part.value}`).join(", ");
  return {
    kind: "share-bar",
    title: say("report.fleet.share", { count: all }),
    alt: say("report.fleet.share-alt", { count: all, parts: spoken }),
    parts,
  };
};

const againstTable = (phrases: Phrases, machines: readonly MachineOnDay[]): Block => ({
  kind: "table",
  alt: phrases.say("report.fleet.against-alt"),
  columns: [
    machineColumn(phrases),
    { head: phrases.say("report.label.standing"), share: 22 },
    { head: phrases.say("report.label.reasons"), share: 54 },
  ],
  rows: machines.map((machine) => [
    machineCell(phrases, machine),
    { text: phrases.standing(machine.standing), tone: standingTones[machine.standing], bold: machine.standing === "grounded" },
    reasonsInRow(phrases, machine.reasons),
  ]),
  empty: phrases.say("report.fleet.against-empty"),
});

const uncheckedTable = (phrases: Phrases, machines: readonly MachineOnDay[], isOver: boolean): Block => ({
  kind: "table",
  alt: phrases.say(isOver ? "report.fleet.unchecked-then-alt" : "report.fleet.unchecked-alt"),
  columns: [...oneLineColumns(phrases), { head: phrases.say("report.fleet.minor"), share: 50 }],
  rows: machines.map((machine) => [
    { text: machine.machine.registrationMark, bold: true, tone: standingTones.unchecked },
    phrases.modelOf(machine.machine),
    machine.reasons.length === 0 ? "\u2013" : reasonsInRow(phrases, machine.reasons),
  ]),
  empty: phrases.say("report.fleet.unchecked-empty"),
});

/** What the day's check found, and the minor defects that may be ridden with. */
const findingsCell = (phrases: Phrases, { check, reasons }: MachineOnDay): Cell | string => {
  if (check === null) return phrases.say("report.not-recorded");
  if (!check.foundDefects && reasons.length === 0) return { text: phrases.say("report.fleet.check-nil"), tone: "good" };
  return {
    text: phrases.say(check.foundDefects ? "report.fleet.check-defects" : "report.fleet.check-nothing-new"),
    tone: "warn",
    ...(reasons.length > 0 ? { note: reasonsInRow(phrases, reasons) } : {}),
  };
};

const fitTable = (phrases: Phrases, machines: readonly MachineOnDay[], eachClock: boolean): Block => ({
  kind: "table",
  alt: phrases.say("report.fleet.fit-alt"),
  columns: [
    ...oneLineColumns(phrases),
    // A time with its time zone needs more width.
    { head: phrases.say("report.label.checked"), share: eachClock ? 22 : 17 },
    { head: phrases.say("report.label.by"), share: eachClock ? 21 : 26 },
    { head: phrases.say("report.label.findings"), share: 22 },
  ],
  rows: machines.map((machine) => [
    { text: machine.machine.registrationMark, bold: true },
    phrases.modelOf(machine.machine),
    machine.check === null ? "\u2013" : phrases.whenAt(machine.check.at, machine.machine),
    machine.check === null ? "\u2013" : phrases.who(machine.check.by),
    findingsCell(phrases, machine),
  ]),
  empty: phrases.say("report.fleet.fit-empty"),
});

/** The report for the whole fleet, or one depot, on a day. Facts in, document out; draws nothing. */
export const composeFleetRoadworthiness = (facts: FleetRoadworthinessFacts): ReportDocument => {
  const { frame, isOver } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const all = facts.machines.length;
  const counts = countStandings(facts.machines);
  const of = (standing: Standing) => facts.machines.filter((machine) => machine.standing === standing).sort(byMark);
  const title = say("report.fleet.title");
  const subject = say("report.fleet.subject", { fit: counts.fit, all });
  const asOf = facts.at === null ? say("report.fleet.as-of-day") : say("report.fleet.as-of", { when: phrases.when(facts.at) });
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: titledAsAt(phrases, frame, title) },
    { kind: "paragraph", size: "lead", text: subject },
    badge(phrases, facts, counts),
    ...(all === 0 ? [] : [shareBar(phrases, counts, all)]),
    small(isOver ? `${asOf} ${say("report.fleet.then")}` : asOf),
    { kind: "heading", level: 2, text: say(isOver ? "report.fleet.against-then" : "report.fleet.against") },
    againstTable(phrases, order.filter(isAgainst).flatMap(of)),
    { kind: "heading", level: 2, text: say(isOver ? "report.fleet.unchecked-then" : "report.fleet.unchecked") },
    uncheckedTable(phrases, of("unchecked"), isOver),
    { kind: "heading", level: 2, text: say("report.fleet.fit") },
    fitTable(phrases, of("fit"), frame.clocks === "each-depot"),
    { kind: "heading", level: 2, text: say("report.machine.papers") },
    fleetPapersTable(phrases, [...facts.machines].sort(byMark)),
  ];
  return { head: headOf(phrases, frame, { title, subject, period: phrases.day(facts.on) }), blocks };
};
