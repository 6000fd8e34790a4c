// The paper of one daily check: what its rider answered, what they were told, and what came of it.
import { word } from "../../../shared/words/index.ts";
import type { Badge, Block, Facts, ReportDocument, Table, Tone } from "../../pdf/index.ts";
import { firstReasons, headOf, type Phrases, phrasesFor } from "../phrases.ts";
import type { AnswerOnReport, DailyCheckFacts } from "./check-facts.ts";
import { flagRows, noPhotosRow, readingsAndPhotos, recordAndWhatCame, resultCell, seenCell, valueAsSent } from "./check-parts.ts";

/** Facts in, document out; draws nothing. */
export const composeDailyCheckReport = (facts: DailyCheckFacts): ReportDocument => {
  const { frame, machine, told } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say("report.check.title");
  const subject = say("report.check.subject", { mark: machine.registrationMark, model: machine.modelName });
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: title },
    { kind: "paragraph", size: "lead", text: subject },
    badgeOf(phrases, facts),
    { kind: "heading", level: 2, text: say("report.check.heading") },
    identity(phrases, facts),
    ...oddFacts(phrases, facts),
    ...recordAndWhatCame(phrases, facts),
    { kind: "heading", level: 2, text: say("report.check.answers") },
    told === null ? { kind: "paragraph", text: word("record.forgotten", frame.language) } : answersTable(phrases, told.answers),
    ...readingsAndPhotos(phrases, facts),
  ];
  return {
    head: headOf(phrases, frame, { title, subject, period: say("report.check.period", { when: phrases.when(facts.performedAt) }) }),
    blocks,
  };
};

const decisionTones = { ride: "good", "ride-with-defects": "warn", "do-not-ride": "bad" } as const satisfies Record<string, Tone>;

const badgeOf = (phrases: Phrases, { decision, validUntil, by, told }: DailyCheckFacts): Badge => ({
  kind: "badge",
  tone: decisionTones[decision],
  title:
    decision === "do-not-ride" || validUntil === null
      ? phrases.say("report.check.badge.do-not-ride")
      : phrases.say(`report.check.badge.${decision}`, { until: phrases.when(validUntil) }),
  note: phrases.say("report.check.badge.note", { who: phrases.who(by) }),
  reasons: firstReasons(phrases, told?.reasons ?? []),
});

const identity = (phrases: Phrases, facts: DailyCheckFacts): Facts => {
  const { say } = phrases;
  const { frame, machine, by, performedAt, arrivedAt, odometerKm, validUntil, told, photos } = facts;
  const saysReadings = told === null || told.readings.length > 0 || told.unjudgedProof !== null;
  return {
    kind: "facts",
    columns: 2,
    rows: [
      { label: say("report.label.mark"), value: machine.registrationMark },
      { label: say("report.check.made-by"), value: phrases.who(by) },
      { label: say("report.label.model"), value: machine.modelName },
      { label: say("report.check.made"), value: phrases.when(performedAt) },
      { label: say("report.label.depot"), value: frame.depotName },
      { label: say("report.check.arrived"), value: phrases.when(arrivedAt) },
      { label: say("report.label.odometer"), value: phrases.km(odometerKm) },
      { label: say("report.check.took"), value: tookOf(phrases, facts) },
      { label: say("report.check.sheet"), value: told?.sheet.version ?? word("record.forgotten", frame.language) },
      {
        label: say("report.check.holds"),
        value: validUntil === null ? say("report.check.clears-nobody") : phrases.when(validUntil),
      },
      ...(told?.unjudgedProof ? [{ label: say("report.check.reading-of-day"), value: valueAsSent(phrases, told.unjudgedProof) }] : []),
      ...(saysReadings ? [] : [{ label: say("report.defect.readings-taken"), value: say("report.none") }]),
      ...noPhotosRow(phrases, photos),
    ],
  };
};

const tookOf = ({ say, number }: Phrases, { durationSeconds, told }: DailyCheckFacts): string => {
  const usual = told?.usualSeconds ?? null;
  const seconds = number(durationSeconds);
  return usual === null ? say("report.check.seconds", { seconds }) : say("report.check.pace", { seconds, usual: number(usual) });
};

const oddFacts = (phrases: Phrases, facts: DailyCheckFacts): Block[] => {
  const rows = flagRows(phrases, facts);
  return rows.length === 0 ? [] : [{ kind: "facts", columns: 1, rows }];
};

const answersTable = (phrases: Phrases, answers: readonly AnswerOnReport[]): Table => ({
  kind: "table",
  alt: phrases.say("report.check.answers-alt"),
  columns: [
    { head: phrases.say("report.label.item"), share: 50 },
    { head: phrases.say("report.check.answer"), share: 18 },
    { head: phrases.say("report.check.seen"), share: 32 },
  ],
  rows: answers.map((answer) => [answer.prompt, resultCell(phrases, answer), seenCell(phrases, answer)]),
  empty: phrases.say("report.check.no-answers"),
});
