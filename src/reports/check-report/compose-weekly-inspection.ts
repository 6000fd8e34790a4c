// The paper of one weekly inspection: the condition of each item, the readings, what was done and by whom, and the signer's declaration.
import { word } from "../../../shared/words/index.ts";
import type { Badge, Block, Facts, ReportDocument, Table } from "../../pdf/index.ts";
import { secretLines } from "../course-parts.ts";
import type { Person } from "../facts.ts";
import { firstReasons, headOf, type Phrases, phrasesFor, standingTones } from "../phrases.ts";
import { small } from "../small-print.ts";
import type { AnswerOnReport, WeeklyInspectionFacts } from "./check-facts.ts";
import { flagRows, noPhotosRow, readingsAndPhotos, recordAndWhatCame, resultCell, seenCell } from "./check-parts.ts";

type Told = NonNullable<WeeklyInspectionFacts["told"]>;

/** Facts in, document out; draws nothing. */
export const composeWeeklyInspectionReport = (facts: WeeklyInspectionFacts): ReportDocument => {
  const { frame, machine, told, performedAt } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say("report.inspection.title");
  const subject = say("report.check.subject", { mark: machine.registrationMark, model: machine.modelName });
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: title },
    { kind: "paragraph", size: "lead", text: subject },
    badgeOf(phrases, facts),
    { kind: "heading", level: 2, text: say("report.inspection.heading") },
    identity(phrases, facts),
    ...longFacts(phrases, facts),
    ...secretLines(phrases, facts.secretSet).map(small),
    ...recordAndWhatCame(phrases, facts),
    ...guidanceBlocks(phrases, facts),
    { kind: "heading", level: 2, text: say("report.inspection.answers") },
    told === null ? { kind: "paragraph", text: word("record.forgotten", frame.language) } : answersTable(phrases, told.answers),
    ...readingsAndPhotos(phrases, facts),
    ...declaration(phrases, facts),
  ];
  return {
    head: headOf(phrases, frame, { title, subject, period: say("report.check.period", { when: phrases.when(performedAt) }) }),
    blocks,
  };
};

const badgeOf = (phrases: Phrases, { machine, performedAt, told }: WeeklyInspectionFacts): Badge => {
  const mark = machine.registrationMark;
  if (told === null) {
    const title = phrases.say("report.inspection.badge.forgotten", { mark, when: phrases.when(performedAt) });
    return { kind: "badge", tone: "plain", title, reasons: [] };
  }
  return {
    kind: "badge",
    tone: standingTones[told.standing],
    title: phrases.say("report.inspection.badge", { mark, standing: phrases.standing(told.standing) }),
    note: phrases.say("report.inspection.badge.note"),
    reasons: firstReasons(phrases, told.reasons),
  };
};

const identity = (phrases: Phrases, facts: WeeklyInspectionFacts): Facts => {
  const { say } = phrases;
  const { frame, machine, by, performedAt, arrivedAt, odometerKm, nextBy, told, photos } = facts;
  return {
    kind: "facts",
    columns: 2,
    rows: [
      { label: say("report.label.mark"), value: machine.registrationMark },
      { label: say("report.label.signed-by"), value: phrases.who(by) },
      { label: say("report.label.model"), value: machine.modelName },
      { label: say("report.check.made"), value: phrases.when(performedAt) },
      { label: say("report.label.vin"), value: machine.vin ?? say("report.not-recorded") },
      { label: say("report.check.arrived"), value: phrases.when(arrivedAt) },
      { label: say("report.label.depot"), value: frame.depotName },
      { label: say("report.inspection.next"), value: say("report.inspection.next-note", { day: phrases.day(nextBy) }) },
      { label: say("report.label.odometer"), value: phrases.km(odometerKm) },
      { label: say("report.check.sheet"), value: told?.sheet.version ?? word("record.forgotten", frame.language) },
      ...(told === null || told.readings.length > 0 ? [] : [{ label: say("report.defect.readings-taken"), value: say("report.none") }]),
      ...noPhotosRow(phrases, photos),
    ],
  };
};

/** Who looked and measured: where others did, each with their items, and who did the rest. */
const measuredText = ({ say, who }: Phrases, signer: Person, others: Told["measuredBy"]): string => {
  const every = others.find(({ itemNames }) => itemNames === null);
  if (every !== undefined || others.length === 0) return who(every?.by ?? signer);
  return [
    ...others.map(({ by, itemNames }) => say("report.inspection.measured-by", { who: who(by), items: (itemNames ?? []).join(", ") })),
    say("report.inspection.measured-rest", { who: who(signer) }),
  ].join("\n");
};

/** Who measured what, the intervals that begin anew, and what was odd. */
const longFacts = (phrases: Phrases, facts: WeeklyInspectionFacts): Block[] => {
  const { say, km } = phrases;
  const { told } = facts;
  const rows = [
    ...(told === null ? [] : [{ label: say("report.inspection.measured"), value: measuredText(phrases, facts.by, told.measuredBy) }]),
    ...(told?.oilChangedAtKm == null
      ? []
      : [{ label: say("report.inspection.oil"), value: say("report.inspection.at", { km: km(told.oilChangedAtKm) }) }]),
    ...(told?.serviced
      ? [
          {
            label: say("report.inspection.serviced"),
            value: say("report.inspection.serviced-at", { items: told.serviced.itemNames.join(", "), km: km(told.serviced.atKm) }),
          },
        ]
      : []),
    ...flagRows(phrases, facts),
  ];
  return rows.length === 0 ? [] : [{ kind: "facts", columns: 1, rows }];
};

const guidanceBlocks = ({ say }: Phrases, { told }: WeeklyInspectionFacts): Block[] => {
  const guidance = told?.guidance ?? [];
  if (guidance.length === 0) return [];
  return [
    { kind: "heading", level: 2, text: say("report.inspection.guidance") },
    { kind: "facts", columns: 1, rows: guidance.map(({ itemName, text }) => ({ label: itemName, value: text })) },
  ];
};

const answersTable = (phrases: Phrases, answers: readonly AnswerOnReport[]): Table => ({
  kind: "table",
  alt: phrases.say("report.check.answers-alt"),
  columns: [
    { head: phrases.say("report.label.item"), share: 42 },
    { head: phrases.say("report.inspection.condition"), share: 15 },
    { head: phrases.say("report.check.seen"), share: 26 },
    { head: phrases.say("report.inspection.done"), share: 17 },
  ],
  rows: answers.map((answer) => [answer.prompt, resultCell(phrases, answer), seenCell(phrases, answer), answer.actions.join(", ")]),
  empty: phrases.say("report.check.no-answers"),
});

/** What the signer stands for, with places to sign on paper: for whoever signed it, and for whoever takes the paper. */
const declaration = (phrases: Phrases, { machine, performedAt, by, told }: WeeklyInspectionFacts): Block[] => {
  const { say } = phrases;
  const isAgainst = told !== null && told.standing !== "fit" && told.standing !== "unchecked";
  const statement = [
    say("report.inspection.statement", { mark: machine.registrationMark, when: phrases.when(performedAt), who: phrases.who(by) }),
    ...(told !== null && told.measuredBy.length > 0 ? [say("report.inspection.statement-others")] : []),
    ...(isAgainst ? [say("report.inspection.statement-not-fit", { standing: phrases.standing(told.standing) })] : []),
  ].join(" ");
  const rest = [{ label: say("report.label.signature") }, { label: say("report.label.date-time") }];
  return [
    { kind: "heading", level: 2, text: say("report.inspection.sign") },
    {
      kind: "signatures",
      statement,
      boxes: [
        { title: say("report.inspection.signer"), fields: [{ label: say("report.label.name") }, ...rest] },
        { title: say("report.inspection.received"), fields: [{ label: say("report.label.name") }, ...rest] },
      ],
    },
  ];
};
