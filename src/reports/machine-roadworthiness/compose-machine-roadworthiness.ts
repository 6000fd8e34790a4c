// One machine over a period: what it is now and why, its days, defects, inspections, wear, papers, sign-offs, and the statement.
import { localDay } from "../../../shared/rules/calendar.ts";
import { checkVin } from "../../../shared/rules/identity.ts";
import type { Block, Cell, Column, Facts, LineChart, ReportDocument, Table } from "../../pdf/index.ts";
import { machineRecordBlocks } from "../against-records.ts";
import { papersTable } from "../compose-papers.ts";
import { secretLines } from "../course-parts.ts";
import type { DefectCourse } from "../defect-facts.ts";
import { categoryCell, itemCell, readingsOfOne, readingsTable, statusCell } from "../defect-parts.ts";
import { figureFacts, figureNotes } from "../figure-blocks.ts";
import { gravestFirst, headOf, notedAsAt, type Phrases, periodText, phrasesFor, standingTones, titledAsAt } from "../phrases.ts";
import type { MachineRoadworthinessFacts, WearSeries, WeeklyInspection } from "../roadworthiness-facts.ts";
import { momentOf } from "../rules.ts";
import { fallBlocks } from "./compose-falls.ts";
import { stayBlocks } from "./compose-stays.ts";
import { sectionsOnChecks } from "./day-calendar.ts";

const identity = (phrases: Phrases, { frame, machine }: MachineRoadworthinessFacts): Facts => {
  const { say } = phrases;
  const unknown = say("report.not-recorded");
  return {
    kind: "facts",
    columns: 2,
    rows: [
      { label: say("report.label.mark"), value: machine.registrationMark },
      { label: say("report.label.model"), value: machine.modelName },
      { label: say("report.label.vin"), value: vinOf(phrases, machine.vin) },
      { label: say("report.label.depot"), value: frame.depotName },
      { label: say("report.label.odometer"), value: phrases.km(machine.odometerKm) },
      { label: say("report.label.in-service"), value: machine.inServiceFrom === null ? unknown : phrases.day(machine.inServiceFrom) },
    ],
  };
};

/** The number on record. One that looks made up is marked as such, so that nobody takes it for one read from the frame. */
const vinOf = ({ say }: Phrases, vin: string | null): string => {
  const check = vin === null ? null : checkVin(vin);
  if (vin === null) return say("report.not-recorded");
  return check?.ok && check.warnings.includes("made-up") ? say("report.machine.vin-made-up", { vin }) : vin;
};

const defectsTable = (phrases: Phrases, defects: readonly DefectCourse[], alt: string, empty: string): Table => {
  const { say, when, who } = phrases;
  const columns: Column[] = [
    { head: say("report.label.found"), share: 20 },
    { head: say("report.label.item"), share: 34 },
    { head: say("report.label.category"), share: 14 },
    { head: say("report.label.status"), share: 27 },
  ];
  const rows = [...defects].sort(gravestFirst).map((defect) => {
    const first = defect.sightings[0];
    return [
      { text: when(first.at), note: who(first.by) },
      itemCell(phrases, defect),
      categoryCell(phrases, defect),
      statusCell(phrases, defect),
    ];
  });
  return { kind: "table", alt, columns, rows, empty };
};

const wearChart = (phrases: Phrases, series: WearSeries): LineChart | null => {
  const first = series.points[0];
  const last = series.points.at(-1);
  if (first === undefined || last === undefined) return null;
  const { say, bound, km } = phrases;
  const told = (value: number): string =>
    phrases.amount(
      value,
      series.unit,
      series.limits.map((limit) => limit.value),
    );
  const limits = series.limits.map(({ value, name }) => ({
    y: value,
    text: say("report.machine.wear-limit", { name, value: bound(value, series.unit) }),
  }));
  const renewed = series.points.filter(({ isRenewed }) => isRenewed).map(({ odometerKm }) => km(odometerKm));
  const alt = say("report.machine.wear-alt", {
    quantity: phrases.quantity(series.quantity),
    first: told(first.value),
    firstKm: km(first.odometerKm),
    last: told(last.value),
    lastKm: km(last.odometerKm),
    limits: limits.length === 0 ? say("limit.not-set") : limits.map((limit) => limit.text).join(", "),
  });
  return {
    kind: "line",
    title: phrases.quantity(series.quantity),
    alt: renewed.length === 0 ? alt : say("report.machine.wear-renewed-alt", { alt, places: renewed.join(", ") }),
    points: series.points.map((point) => ({
      ...(point.isRenewed ? { mark: say("report.machine.wear-renewed") } : {}),
      x: point.odometerKm,
      y: point.value,
      xText: `${km(point.odometerKm)}, ${phrases.shortDay(localDay(point.at, phrases.timeZone))}`,
      yText: told(point.value),
    })),
    limits,
  };
};

const noteOf = (lines: readonly string[]): { note?: string } => (lines.length === 0 ? {} : { note: lines.join("; ") });

/** A reading found outside its limits and left within them is a finding, though no defect. */
const findingsCell = ({ say }: Phrases, { defectCount, stillOpen, readings }: WeeklyInspection): Cell => {
  const corrected = readings.filter(({ verdict }) => verdict.result === "corrected").length;
  if (defectCount > 0) return { text: say("report.machine.inspection-findings", { count: defectCount }), tone: "warn" };
  if (stillOpen > 0) return { text: say("report.machine.inspection-nothing-new", { count: stillOpen }), tone: "warn" };
  return {
    text: corrected > 0 ? say("report.machine.inspection-corrected", { count: corrected }) : say("report.fleet.check-nil"),
    tone: "good",
  };
};

const inspectionBlocks = (phrases: Phrases, { inspections, wear }: MachineRoadworthinessFacts): Block[] => {
  const { say, when, who } = phrases;
  const newestFirst = [...inspections].sort((a, b) => b.at.getTime() - a.at.getTime());
  const blocks: Block[] = [
    { kind: "heading", level: 2, text: say("report.machine.inspections") },
    {
      kind: "table",
      alt: say("report.machine.inspections-alt"),
      columns: [
        { head: say("report.label.inspected"), share: 30 },
        { head: say("report.label.signed-by"), share: 34 },
        { head: say("report.label.odometer"), share: 16, align: "right" },
        { head: say("report.label.findings"), share: 20 },
      ],
      rows: newestFirst.map((inspection) => [
        { text: when(inspection.at), ...(inspection.isFirstUse ? { note: say("report.machine.first-use") } : {}) },
        {
          text: who(inspection.by),
          ...noteOf([
            ...(inspection.measuredBy.length > 0
              ? [say("report.machine.measured-by", { who: inspection.measuredBy.map((one) => who(one)).join(", ") })]
              : []),
            ...secretLines(phrases, inspection.secretSet),
          ]),
        },
        phrases.km(inspection.odometerKm),
        findingsCell(phrases, inspection),
      ]),
      empty: say("report.machine.no-inspections"),
    },
  ];
  const [last, ...earlier] = newestFirst.filter(({ readings }) => readings.length > 0);
  if (last) {
    blocks.push({ kind: "heading", level: 3, text: say("report.machine.readings-of", { when: when(last.at), who: who(last.by) }) });
    blocks.push(readingsOfOne(phrases, last.readings, say("report.machine.readings-alt", { when: when(last.at) })));
  }
  // A year of readings within their limits would be fifty pages that hide the three outside; the records have them all.
  const outside = earlier.flatMap(({ readings }) =>
    readings.filter(({ verdict }) => verdict.result === "corrected" || verdict.result === "defect"),
  );
  if (earlier.length > 0) {
    blocks.push({ kind: "heading", level: 3, text: say("report.machine.outside") });
    blocks.push({ ...readingsTable(phrases, outside, say("report.machine.outside-alt")), empty: say("report.machine.none-outside") });
  }
  const charts = wear.map((series) => wearChart(phrases, series)).filter((chart) => chart !== null);
  if (charts.length > 0) blocks.push({ kind: "heading", level: 2, text: say("report.machine.wear") }, ...charts);
  return blocks;
};

/** Work belongs to the period in which it was done, whenever its defect was found. */
const workTable = (phrases: Phrases, work: MachineRoadworthinessFacts["work"]): Table => {
  const { say, when, who } = phrases;
  return {
    kind: "table",
    alt: say("report.machine.work-alt"),
    columns: [
      { head: say("report.label.date-time"), share: 20 },
      { head: say("report.label.item"), share: 28 },
      { head: say("report.label.status"), share: 18 },
      { head: say("report.label.by"), share: 34 },
    ],
    rows: [...work]
      .sort((a, b) => a.at.getTime() - b.at.getTime())
      .map(({ at, defect, done, by, said }) => [
        when(at),
        { text: defect.itemName, note: phrases.category(defect.category) },
        done === "repaired" ? say("report.machine.work.repaired") : { text: say(`report.status.${done}`), tone: "good" as const },
        { text: who(by), ...noteOf(said === null ? [] : [said]) },
      ]),
    empty: say("report.machine.no-work"),
  };
};

/** What riders put right on the spot; no section where they did nothing. */
const putRightBlocks = (phrases: Phrases, putRight: MachineRoadworthinessFacts["putRight"]): Block[] => {
  const { say, when, who } = phrases;
  if (putRight.length === 0) return [];
  return [
    { kind: "heading", level: 2, text: say("report.machine.put-right") },
    {
      kind: "table",
      alt: say("report.machine.put-right-alt"),
      columns: [
        { head: say("report.label.date-time"), share: 20 },
        { head: say("report.label.item"), share: 46 },
        { head: say("report.label.as-left"), share: 14 },
        { head: say("report.label.by"), share: 20 },
      ],
      rows: putRight.map(({ at, by, itemName, seen, note, reading }) => [
        when(at),
        { text: itemName, ...noteOf([...seen, ...(note === null ? [] : [note])]) },
        reading === null
          ? say("report.machine.put-right.not-read")
          : phrases.reading(reading.verdict.reading.asFound, reading.verdict.reading.unit, reading.verdict.asFound),
        who(by),
      ]),
      empty: "",
    },
  ];
};

/** The report for one machine from day to day. Facts in, document out; draws nothing. */
export const composeMachineRoadworthiness = (facts: MachineRoadworthinessFacts): ReportDocument => {
  const { frame, machine, from, to, standingNow } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const mark = machine.registrationMark;
  const title = say("report.machine.title");
  const subject = say("report.machine.subject", { mark, model: machine.modelName });
  const standing = phrases.standing(standingNow.standing);
  const fields = [{ label: say("report.label.name") }, { label: say("report.label.signature") }, { label: say("report.label.date") }];
  const statement = say("report.machine.statement-text", { mark, period: periodText(phrases, from, to) });
  const warning = standingNow.standing === "fit" ? "" : ` ${say("report.machine.statement-not-fit", { standing })}`;
  const isAway = standingNow.standing === "grounded" && facts.stays.some(({ back }) => back === null);
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: titledAsAt(phrases, frame, title) },
    { kind: "paragraph", size: "lead", text: subject },
    {
      kind: "badge",
      tone: standingTones[standingNow.standing],
      title: standing,
      note: notedAsAt(phrases, frame, say(isAway ? "report.standing-line.away" : `report.standing-line.${standingNow.standing}`)),
      reasons: standingNow.reasons,
    },
    { kind: "heading", level: 2, text: say("report.machine.open") },
    defectsTable(phrases, facts.openDefects, say("report.machine.open-alt"), say("report.machine.no-open")),
    { kind: "heading", level: 2, text: say("report.machine.identity") },
    identity(phrases, facts),
    ...machineRecordBlocks(phrases, facts.lastRecord),
    { kind: "heading", level: 2, text: say("report.machine.figures") },
    figureFacts(phrases, facts.figures),
    ...figureNotes(phrases, facts.figures),
    ...sectionsOnChecks(phrases, facts.days),
    { kind: "heading", level: 2, text: say("report.machine.defects") },
    defectsTable(phrases, facts.periodDefects, say("report.machine.defects-alt"), say("report.machine.no-defects")),
    { kind: "heading", level: 2, text: say("report.machine.work") },
    workTable(phrases, facts.work),
    ...putRightBlocks(phrases, facts.putRight),
    ...fallBlocks(phrases, facts.falls),
    ...stayBlocks(phrases, facts.stays),
    ...inspectionBlocks(phrases, facts),
    { kind: "heading", level: 2, text: say("report.machine.papers") },
    papersTable(phrases, facts.papers, localDay(momentOf(frame), frame.timeZone)),
    { kind: "heading", level: 2, text: say("report.machine.statement") },
    {
      kind: "signatures",
      statement: `${statement}${warning}`,
      boxes: [
        { title: say("report.machine.responsible"), fields },
        { title: say("report.machine.witness"), fields },
      ],
    },
  ];
  return { head: headOf(phrases, frame, { title: `${title} ${mark}`, subject, period: periodText(phrases, from, to) }), blocks };
};
