// The report of a month: what is put on it. Facts and rows in, blocks out; nothing is read or drawn here.
import type { DayVerdict } from "../../../shared/contracts/reports.ts";
import { isoWeek } from "../../../shared/rules/calendar.ts";
import { isWordKey, wordByKey } from "../../../shared/words/index.ts";
import { nameOfDefect } from "../../../shared/words/say-reason.ts";
import type { PeriodFigures } from "../../figures/index.ts";
import { type Called, inShort, type Kind, kinds, sentenceOf } from "../../ledger/index.ts";
import type { Block, Cell, Column, DayGrid, LongTable, ReportHead, Row } from "../../pdf/index.ts";
import { checkpointBlocks } from "../against-records.ts";
import { courseOf, secretLines } from "../course-parts.ts";
import type { DefectCourse } from "../defect-facts.ts";
import { categoryCell, itemCell, statusCell } from "../defect-parts.ts";
import type { Frame } from "../facts.ts";
import { figureFacts, figureNotes } from "../figure-blocks.ts";
import { markOf, marks } from "../machine-roadworthiness/day-calendar.ts";
import { categoryTone, headOf, type Phrases, type ReportKey } from "../phrases.ts";
import { daysOf } from "../rules.ts";
import type { MachineDays } from "./collect-days.ts";
import { lastDayOf } from "./month.ts";
import type { CheckRow, ClosingRow, MonthInspectionRow, PersonColumns, SecretColumns } from "./month-store.ts";
import type { RecordRow } from "./record-store.ts";

export type DayTotals = Readonly<Record<DayVerdict, number>>;

export interface MonthFacts {
  readonly frame: Frame;
  /** `YYYY-MM` */
  readonly month: string;
  readonly isOver: boolean;
  readonly machines: number;
  readonly figures: PeriodFigures;
  readonly days: DayTotals;
  /** entries by kind */
  readonly entries: ReadonlyMap<Kind, number>;
}

export const monthHead = (phrases: Phrases, { frame, month }: Pick<MonthFacts, "frame" | "month">): ReportHead =>
  headOf(phrases, frame, {
    title: phrases.say("pack.title"),
    subject: phrases.say("pack.subject", { month: phrases.month(month), depots: frame.depotName }),
    period: phrases.month(month),
  });

const verdictBadge = ({ say, sayCounted, number }: Phrases, { days, machines }: MonthFacts): Block => {
  const { ridden, missing } = days;
  if (machines === 0) return { kind: "badge", tone: "quiet", title: say("pack.cover.no-days"), reasons: [] };
  return {
    kind: "badge",
    tone: ridden > 0 ? "bad" : missing > 0 ? "warn" : "good",
    title: ridden === 0 ? say("pack.cover.ridden.none") : sayCounted("pack.cover.ridden", ridden),
    note: missing === 0 ? say("pack.cover.missing.none") : say("pack.cover.missing", { count: number(missing) }),
    reasons: [],
  };
};

const kindsAbreast = 3;

/** Cover: what an auditor asks first, and how much of everything there is. */
export function coverBlocks(phrases: Phrases, facts: MonthFacts): Block[] {
  const { say, number } = phrases;
  const { days, entries, machines, frame, month } = facts;
  const inFleet = Object.entries(days).reduce((sum, [verdict, count]) => (verdict === "outside" ? sum : sum + count), 0);
  const counts = (Object.keys(kinds) as Kind[]).flatMap((kind): [string, string][] => {
    const count = entries.get(kind) ?? 0;
    return count === 0 ? [] : [[sentenceOf(kind), number(count)]];
  });
  const all = [...entries.values()].reduce((sum, count) => sum + count, 0);
  // Side by side: what does not fit the cover's page goes on, and the days begin under it.
  const third = Math.ceil(counts.length / kindsAbreast);
  const rows = counts.slice(0, third).map((_, at): Row => [0, 1, 2].flatMap((column) => counts[column * third + at] ?? []));
  return [
    { kind: "heading", level: 1, text: say("pack.title") },
    { kind: "paragraph", size: "lead", text: say("pack.subject", { month: phrases.month(month), depots: frame.depotName }) },
    ...(facts.isOver ? [] : [{ kind: "paragraph", text: say("pack.running"), tone: "warn" } as const]),
    verdictBadge(phrases, facts),
    { kind: "heading", level: 2, text: say("pack.cover.heading") },
    figureFacts(phrases, facts.figures, [], 3),
    ...figureNotes(phrases, facts.figures),
    { kind: "heading", level: 2, text: say("pack.cover.checked") },
    {
      kind: "facts",
      columns: 3,
      rows: [
        { label: say("pack.cover.machines"), value: number(machines) },
        { label: say("pack.cover.judged"), value: number(inFleet) },
        { label: say("pack.cover.nil"), value: number(days.nil) },
        { label: say("pack.cover.nothing-new"), value: number(days["nothing-new"]) },
        { label: say("pack.cover.defect"), value: number(days.defect) },
        { label: say("pack.cover.ridden"), value: number(days.ridden), ...(days.ridden > 0 ? { tone: "bad" as const } : {}) },
        { label: say("pack.cover.missing-days"), value: number(days.missing), ...(days.missing > 0 ? { tone: "warn" as const } : {}) },
        { label: say("pack.cover.not-in-use"), value: number(days["not-in-use"]) },
        { label: say("pack.cover.withdrawn"), value: number(days.withdrawn) },
        { label: say("pack.cover.total"), value: number(all) },
      ],
    },
    { kind: "paragraph", size: "small", text: say("pack.cover.which") },
    ...checkpointBlocks(phrases, frame),
    { kind: "heading", level: 2, text: say("pack.cover.recorded") },
    {
      kind: "table",
      alt: say("pack.cover.recorded-alt"),
      columns: Array.from({ length: kindsAbreast }, (): Column[] => [
        { head: say("pack.cover.kind"), share: 27 },
        { head: say("pack.cover.count"), share: 6, align: "right" },
      ]).flat(),
      rows,
      empty: say("pack.cover.nothing"),
    },
  ];
}

/** The heading of a section, which is also a bookmark. */
const section = (text: string): Block[] => [{ kind: "heading", level: 2, text }];

/** How the days are judged: printed before the grids, since a mark means nothing without its rule. */
export const ruleBlocks = ({ say }: Phrases): Block[] => [
  ...section(say("pack.days.how")),
  { kind: "paragraph", size: "small", text: say("report.day.rule") },
];

/** The machines of a depot by day. */
export function dayBlocks({ say, number }: Phrases, depotName: string, month: string, machines: readonly MachineDays[]): Block[] {
  const days = daysOf({ from: `${month}-01`, to: lastDayOf(month) });
  const grid: DayGrid = {
    kind: "day-grid",
    heads: days.map((day) => ({ text: String(Number(day.slice(8))), isRest: isoWeek(day).weekday > 5 })),
    countHeads: [say("pack.days.count.checked"), say("pack.days.count.ridden"), say("pack.days.count.missing")],
    legend: marks.map((mark) => ({ mark, text: say(`report.day.${mark}`) })),
    empty: say("pack.days.none"),
    rows: machines.map(({ registrationMark, modelName, verdicts }) => {
      const count = (...of: DayVerdict[]): string => number(verdicts.filter((verdict) => of.includes(verdict)).length);
      return {
        ...{ label: registrationMark, note: modelName, days: verdicts.map((verdict) => markOf[verdict]) },
        counts: [count("nil", "nothing-new", "defect"), count("ridden"), count("missing")],
      };
    }),
  };
  return [...section(say("pack.days.heading", { depot: depotName })), grid];
}

const who = (phrases: Phrases, { staffName, staffNumber }: PersonColumns): string => phrases.who({ name: staffName, staffNumber });
/** Who signed, and who had set their secret if that was within the day before. */
const signer = (phrases: Phrases, row: PersonColumns & SecretColumns, also: readonly string[] = []): Cell => {
  const { secretSetAt: at, secretSetByName: name, secretSetByNumber: staffNumber, secretChosenAt: chosenAt } = row;
  const by = name === null || staffNumber === null ? null : { name, staffNumber };
  const notes = [...also, ...secretLines(phrases, at === null ? undefined : { at, by, chosenAt })];
  return { text: who(phrases, row), ...(notes.length === 0 ? {} : { note: notes.join("; ") }) };
};
/** A check that found nothing while an older defect was open found 'nothing new', not 'nothing'. */
const found = ({ say }: Phrases, count: number, isClear: boolean, nil: ReportKey = "pack.checks.nil"): Cell =>
  count > 0
    ? { text: say("pack.checks.found", { count }), tone: "warn" }
    : isClear
      ? { text: say(nil), tone: "good" }
      : { text: say("report.fleet.check-nothing-new"), tone: "warn" };
/** What arrives later than this after it was done counts as late, and both times are printed. */
const lateMs = 5 * 60_000;

export function checkBlocks(phrases: Phrases, depotName: string, checks: AsyncIterable<readonly CheckRow[]>): Block[] {
  const { say, when, km, language } = phrases;
  const flag = (id: string): string => (isWordKey(`flag.${id}`) ? wordByKey(`flag.${id}`, language) : id);
  const table: LongTable = {
    kind: "long-table",
    alt: say("pack.checks.alt"),
    columns: [
      { head: say("report.label.machine"), share: 10 },
      { head: say("pack.label.when"), share: 18 },
      { head: say("pack.label.rider"), share: 22 },
      { head: say("report.label.odometer"), share: 9, align: "right" },
      { head: say("pack.label.took"), share: 6, align: "right" },
      { head: say("report.label.findings"), share: 12 },
      { head: say("pack.label.decision"), share: 16 },
      { head: say("pack.label.odd"), share: 20 },
    ],
    rows: mappedBatches(checks, (check): Row => {
      const isLate = check.recordedAt.getTime() - check.performedAt.getTime() > lateMs;
      return [
        { text: check.registrationMark, bold: true },
        isLate
          ? { text: when(check.performedAt), note: say("pack.checks.recorded", { when: when(check.recordedAt) }) }
          : when(check.performedAt),
        who(phrases, check),
        km(check.odometerKm),
        say("pack.checks.seconds", { seconds: check.durationSeconds }),
        found(phrases, check.defectCount, check.stillOpen === 0),
        isWordKey(`record.decision.${check.decision}`) ? wordByKey(`record.decision.${check.decision}`, language) : check.decision,
        check.flags.map(flag).join("; "),
      ];
    }),
    empty: say("pack.checks.none"),
  };
  return [...section(say("pack.checks.heading", { depot: depotName })), table];
}

/** A defect with everything that happened to it. */
export function defectBlocks(phrases: Phrases, defect: DefectCourse): Block[] {
  const { say } = phrases;
  const mark = defect.machine.registrationMark;
  const cells = { item: itemCell(phrases, defect), category: categoryCell(phrases, defect), status: statusCell(phrases, defect) };
  const status = [cells.status.text, ...(cells.status.note === undefined ? [] : [cells.status.note])].join(", ");
  return [
    { kind: "heading", level: 3, text: say("pack.defects.one", { mark, item: cells.item.text }) },
    {
      kind: "paragraph",
      size: "small",
      text: say("pack.defects.line", { category: cells.category.text, status }),
      tone: cells.status.tone ?? "plain",
      leads: true,
    },
    courseOf(phrases, defect),
  ];
}

export const defectHeading = ({ say }: Phrases, depotName: string): Block[] => section(say("pack.defects.heading", { depot: depotName }));

export function inspectionBlocks(phrases: Phrases, depotName: string, inspections: AsyncIterable<readonly MonthInspectionRow[]>): Block[] {
  const { say, when, km } = phrases;
  const table: LongTable = {
    kind: "long-table",
    alt: say("pack.inspections.alt"),
    columns: [
      { head: say("report.label.machine"), share: 12 },
      { head: say("report.label.inspected"), share: 18 },
      { head: say("report.label.signed-by"), share: 28 },
      { head: say("report.label.odometer"), share: 12, align: "right" },
      { head: say("report.label.findings"), share: 14 },
      { head: say("pack.label.readings"), share: 26 },
    ],
    rows: mappedBatches(
      inspections,
      (one): Row => [
        { text: one.registrationMark, bold: true },
        when(one.performedAt),
        signer(phrases, one, one.measuredBy === null ? [] : [say("report.machine.measured-by", { who: one.measuredBy })]),
        km(one.odometerKm),
        found(phrases, one.defectCount, one.stillOpen === 0, one.corrected > 0 ? "pack.inspections.no-defect" : "pack.checks.nil"),
        say(one.corrected === 0 ? "pack.inspections.readings" : "pack.inspections.corrected", {
          count: one.readings,
          corrected: one.corrected,
        }),
      ],
    ),
    empty: say("pack.inspections.none"),
  };
  return [...section(say("pack.inspections.heading", { depot: depotName })), table];
}

export function closingBlocks(phrases: Phrases, depotName: string, closings: AsyncIterable<readonly ClosingRow[]>): Block[] {
  const { say, when, language } = phrases;
  const table: LongTable = {
    kind: "long-table",
    alt: say("pack.closings.alt"),
    columns: [
      { head: say("report.label.machine"), share: 11 },
      { head: say("pack.label.when"), share: 20 },
      { head: say("report.label.item"), share: 22 },
      { head: say("report.label.status"), share: 14 },
      { head: say("report.label.by"), share: 20 },
      { head: say("pack.label.repaired-by"), share: 20 },
      { head: say("pack.label.said"), share: 26 },
    ],
    rows: mappedBatches(closings, (one): Row => {
      const category = one.category;
      return [
        { text: one.registrationMark, bold: true },
        when(one.performedAt),
        {
          text: nameOfDefect(one, language),
          note: phrases.category(category),
          ...(categoryTone(category) === "bad" ? { bold: true } : {}),
        },
        { text: say(one.kind === "sign-off" ? "report.status.signed-off" : "report.status.not-found"), tone: "good" },
        signer(phrases, one),
        one.repairedByName === null || one.repairedByNumber === null
          ? (one.repairedAt ?? "\u2013")
          : phrases.who({ name: one.repairedByName, staffNumber: one.repairedByNumber }),
        one.said ?? "",
      ];
    }),
    empty: say("pack.closings.none"),
  };
  return [...section(say("pack.closings.heading", { depot: depotName })), table];
}

/** The lists of entries: every kind is in one of these lists or has a section of its own. */
const listedKinds = {
  policy: ["firm-founded", "policy-changed"],
  taken: ["report-taken"],
  people: ["person-added", "person-amended", "person-left", "secret-reset", "secret-changed"],
  fleet: [
    ...(["machines-imported", "machine-added", "machine-amended", "machine-withdrawn", "machine-returned", "machine-disposed"] as const),
    ...(["machine-reinstated", "paper-added", "paper-ended", "model-added", "model-revised", "depot-added", "depot-amended"] as const),
  ],
} as const satisfies Record<string, readonly Kind[]>;
const hasItsOwn = (kind: Kind): boolean => kind === "daily-check" || kind === "weekly-inspection" || kind.startsWith("defect-");

export const entryLists: readonly { readonly name: keyof typeof listedKinds | "others"; readonly kinds: readonly Kind[] }[] = [
  ...(["policy", "taken", "people", "fleet"] as const).map((name) => ({ name, kinds: listedKinds[name] as readonly Kind[] })),
  {
    name: "others",
    kinds: (Object.keys(kinds) as Kind[]).filter(
      (kind) => !hasItsOwn(kind) && !Object.values<readonly Kind[]>(listedKinds).some((list) => list.includes(kind)),
    ),
  },
];

export function entryBlocks(
  phrasesOf: (timeZone: string | null) => Phrases,
  { name, kinds: of }: (typeof entryLists)[number],
  entries: AsyncIterable<readonly RecordRow[]>,
  called: Called,
): Block[] {
  const phrases = phrasesOf(null);
  const { say } = phrases;
  const table: LongTable = {
    kind: "long-table",
    alt: say("pack.entries.alt"),
    columns: [
      { head: say("pack.label.when"), share: 18 },
      { head: say("pack.label.entry"), share: 26 },
      { head: say("report.label.by"), share: 20 },
      { head: say("pack.label.what"), share: 50 },
    ],
    rows: mappedBatches(entries, (row): Row => {
      const about = [row.machineMark, row.depotName].filter((one) => one !== null).join(", ");
      return [
        { text: phrasesOf(row.timeZone).when(row.recordedAt) },
        { text: sentenceOf(row.kind), ...(about === "" ? {} : { note: about }) },
        row.staffName === null
          ? say("record.by-the-service")
          : phrases.who({ name: row.staffName, staffNumber: row.staffNumber ?? "\u2013" }),
        inShort(row, called, phrases.language),
      ];
    }),
    empty: say(`pack.${name}.none` as ReportKey),
  };
  return of.length === 0 ? [] : [...section(say(`pack.${name}.heading` as ReportKey)), table];
}

/** Machine-days by verdict, added up. */
export function dayTotals(machines: readonly Pick<MachineDays, "verdicts">[]): DayTotals {
  const totals = { nil: 0, "nothing-new": 0, defect: 0, ridden: 0, missing: 0, "not-in-use": 0, withdrawn: 0, outside: 0 };
  for (const { verdicts } of machines) for (const verdict of verdicts) totals[verdict] += 1;
  return totals;
}

async function* mappedBatches<In, Out>(batches: AsyncIterable<readonly In[]>, map: (one: In) => Out): AsyncGenerator<Out> {
  for await (const batch of batches) for (const one of batch) yield map(one);
}
