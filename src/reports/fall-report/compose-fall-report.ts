// The report of a fall or collision: what was told, and what the inspection after it found. It judges nobody.
import type { Badge, Block, ReportDocument } from "../../pdf/index.ts";
import { defectRecordBlocks } from "../against-records.ts";
import { photoBlocks } from "../photo-blocks.ts";
import { firstReasons, headOf, type Phrases, phrasesFor, standingTones } from "../phrases.ts";
import { small } from "../small-print.ts";
import type { FallReportFacts } from "./fall-facts.ts";

/** Facts in, document out; draws nothing. */
export const composeFallReport = (facts: FallReportFacts): ReportDocument => {
  const { frame, machine, happenedAt, photos, record } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say("report.fall.title");
  const subject = say("report.fall.subject", { mark: machine.registrationMark, when: phrases.when(happenedAt) });
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: title },
    { kind: "paragraph", size: "lead", text: subject },
    badgeOf(phrases, facts),
    { kind: "heading", level: 2, text: say("report.fall.identity") },
    identity(phrases, facts),
    ...defectRecordBlocks(phrases, [record]),
    { kind: "heading", level: 2, text: say("report.fall.told") },
    told(phrases, facts),
    { kind: "heading", level: 2, text: say("report.fall.inspection") },
    ...inspection(phrases, facts),
    ...photoBlocks(phrases, photos, title),
    small(say("report.fall.no-advice")),
  ];
  return {
    head: headOf(phrases, frame, { title, subject, period: say("report.fall.period", { when: phrases.when(happenedAt) }) }),
    blocks,
  };
};

const badgeOf = (phrases: Phrases, { machine, inspection: after, standingNow: { standing, reasons } }: FallReportFacts): Badge => ({
  kind: "badge",
  tone: standingTones[standing],
  title:
    after === null
      ? phrases.say("report.fall.badge.waits", { mark: machine.registrationMark })
      : phrases.say("report.fall.badge.inspected", { when: phrases.when(after.at), who: phrases.who(after.by) }),
  note: phrases.say("report.fall.machine-now", { mark: machine.registrationMark, standing: phrases.standing(standing) }),
  reasons: firstReasons(phrases, reasons),
});

const identity = (phrases: Phrases, { frame, machine, happenedAt, recordedAt, reportedBy, told: said }: FallReportFacts): Block => {
  const { say } = phrases;
  const odometerKm = said?.odometerKm ?? null;
  return {
    kind: "facts",
    columns: 2,
    rows: [
      { label: say("report.label.mark"), value: machine.registrationMark },
      { label: say("report.fall.happened"), value: phrases.when(happenedAt) },
      { label: say("report.label.model"), value: machine.modelName },
      { label: say("report.fall.reported"), value: phrases.when(recordedAt) },
      { label: say("report.label.vin"), value: machine.vin ?? say("report.not-recorded") },
      { label: say("report.fall.reported-by"), value: phrases.who(reportedBy) },
      { label: say("report.label.depot"), value: frame.depotName },
      { label: say("report.label.odometer"), value: odometerKm === null ? say("report.not-recorded") : phrases.km(odometerKm) },
    ],
  };
};

const told = (phrases: Phrases, { told: said }: FallReportFacts): Block => {
  const { say } = phrases;
  if (said === null) return { kind: "paragraph", text: say("record.forgotten") };
  const { hit, bent, note } = said;
  return {
    kind: "facts",
    columns: 1,
    rows: [
      { label: say("report.fall.hit"), value: hit },
      { label: say("report.fall.bent"), value: bent.length === 0 ? say("report.fall.bent.none") : bent.join(", ") },
      ...(note === null ? [] : [{ label: say("report.fall.note"), value: note }]),
    ],
  };
};

const inspection = (phrases: Phrases, { inspectedBetween, inspection: after }: FallReportFacts): Block[] => {
  const { say } = phrases;
  const line = (text: string): Block => ({ kind: "paragraph", text });
  const between = inspectedBetween === null ? [] : [line(say("report.fall.between", { when: phrases.when(inspectedBetween) }))];
  if (after === null) return [...between, line(say("report.fall.not-yet"))];
  const made = line(say("report.fall.made", { when: phrases.when(after.at), who: phrases.who(after.by) }));
  if (after.found === null) return [...between, made, line(say("record.forgotten"))];
  if (after.found.length === 0) return [...between, made, line(say("report.fall.found-nothing"))];
  const rows = after.found.map(({ item, seen, category }) => ({
    label: `${item} (${phrases.category(category)})`,
    value: seen.join("; "),
  }));
  return [...between, made, { kind: "facts", columns: 1, rows }];
};
