// The state of a campaign: what is to be done and until when, how far it is, and where its job stands on each machine.
import type { Block, Cell, ReportDocument, Tone } from "../../pdf/index.ts";
import { headOf, type Phrases, phrasesFor } from "../phrases.ts";
import { small } from "../small-print.ts";
import type { CampaignReportFacts } from "./campaign-facts.ts";

type Job = CampaignReportFacts["jobs"][number];

/** Facts in, document out; draws nothing. */
export const composeCampaignReport = (facts: CampaignReportFacts): ReportDocument => {
  const { frame, name, job, jobs } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say("report.campaign.title");
  const standing = jobs.filter(({ grounded }) => grounded);
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: title },
    { kind: "paragraph", size: "lead", text: name },
    badge(phrases, facts),
    { kind: "heading", level: 2, text: say("report.campaign.about") },
    about(phrases, facts),
    { kind: "heading", level: 2, text: say("report.campaign.job") },
    { kind: "paragraph", text: job },
    { kind: "heading", level: 2, text: say("report.campaign.grounded") },
    { kind: "paragraph", text: standing.length === 0 ? say("report.campaign.grounded.none") : marksOf(standing) },
    { kind: "heading", level: 2, text: say("report.campaign.progress") },
    {
      kind: "table",
      alt: say("report.campaign.progress-alt"),
      columns: [
        { head: say("report.label.machine"), share: 34 },
        { head: say("report.campaign.state"), share: 46 },
        { head: say("report.campaign.rides"), share: 20 },
      ],
      rows: jobs.map((one) => [machineCell(phrases, one), stateCell(phrases, one), ridesCell(phrases, one)]),
      empty: say("report.campaign.progress-empty"),
    },
    small(say("report.campaign.note")),
  ];
  return { head: headOf(phrases, frame, { title, subject: name, period: phrases.when(frame.printedAt) }), blocks };
};

const marksOf = (jobs: readonly Job[]): string => jobs.map(({ machine }) => machine.registrationMark).join(", ");

const badge = (phrases: Phrases, { totals, jobs, ended }: CampaignReportFacts): Block => {
  const { say } = phrases;
  const done = totals.done + totals["nothing-found"];
  const of = totals.machines - totals.left;
  const left = of - done;
  const counts = (["open", "waiting", "repaired", "late"] as const).filter((state) => totals[state] > 0);
  return {
    kind: "badge",
    tone: left === 0 ? "good" : totals.late + totals.grounded > 0 ? "bad" : "warn",
    title: jobs.length === 0 ? say("report.campaign.progress-empty") : say("report.campaign.badge", { done, of }),
    note: say("report.campaign.badge.note", { found: totals.done, nothing: totals["nothing-found"], grounded: totals.grounded }),
    reasons: [
      ...(ended === null ? [] : [say("report.campaign.is-ended")]),
      ...counts.map((state) => say(`report.campaign.count.${state}`, { count: totals[state] })),
      ...(totals.left > 0 ? [say("report.campaign.count.left", { count: totals.left })] : []),
    ],
  };
};

const about = (phrases: Phrases, { frame, covers, depots, dueDay, grounds, added, ended }: CampaignReportFacts): Block => {
  const { say } = phrases;
  return {
    kind: "facts",
    columns: 1,
    rows: [
      { label: say("report.campaign.covers"), value: covers.join(", ") },
      { label: say("report.campaign.depots"), value: depots === null ? say("report.all-depots") : depots.join(", ") },
      { label: say("report.campaign.shown"), value: frame.depotName },
      { label: say("report.campaign.due"), value: phrases.day(dueDay) },
      { label: say("report.campaign.until"), value: say(grounds ? "report.campaign.until.grounds" : "report.campaign.until.rides") },
      {
        label: say("report.campaign.added"),
        value: say("report.campaign.by", { when: phrases.when(added.at), who: phrases.who(added.by) }),
      },
      ...(ended === null
        ? []
        : [
            {
              label: say("report.campaign.ended"),
              value: say("report.campaign.by-because", {
                ...{ when: phrases.when(ended.at), who: phrases.who(ended.by), reason: ended.reason },
              }),
            },
          ]),
    ],
  };
};

const machineCell = (phrases: Phrases, { machine }: Job): Cell => ({
  text: machine.registrationMark,
  bold: true,
  note: phrases.modelOf(machine),
});

const tones: Readonly<Record<Job["state"], Tone>> = {
  open: "warn",
  waiting: "warn",
  repaired: "warn",
  done: "good",
  "nothing-found": "good",
  left: "quiet",
};

const stateCell = (phrases: Phrases, { state, expectedDay, doneDay, doneBy, late }: Job): Cell => {
  const day = expectedDay ?? doneDay;
  return {
    text: phrases.say(`report.campaign.state.${state}`, { day: day === null ? "" : phrases.day(day), name: doneBy ?? "" }),
    tone: late ? "bad" : tones[state],
    ...(late ? { note: phrases.say("report.campaign.late") } : {}),
  };
};

const ridesCell = ({ say }: Phrases, { grounded }: Job): Cell =>
  grounded ? { text: say("report.campaign.stands"), tone: "bad", bold: true } : { text: "\u2013" };
