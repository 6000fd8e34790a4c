// The course of a defect: everything that happened to it, in order of time, each kind of step told by itself.
import { word } from "../../shared/words/index.ts";
import type { Course, Tone } from "../pdf/index.ts";
import type { DefectCourse, Sighting } from "./defect-facts.ts";
import { isLeftAlone } from "./defect-parts.ts";
import type { ReadingTaken, SecretSetBefore } from "./facts.ts";
import { categoryTone, type Phrases } from "./phrases.ts";

interface Step {
  readonly at: Date;
  readonly title: string;
  readonly details: readonly string[];
  readonly tone: Tone;
}

/** One line for a reading inside the course. */
const readingLine = (phrases: Phrases, reading: ReadingTaken): string => {
  const { verdict } = reading;
  const { unit, asFound, asLeft } = verdict.reading;
  const last = verdict.asLeft ?? verdict.asFound;
  const limit = phrases.limitOf(asLeft ?? asFound, unit, last);
  const found = phrases.reading(asFound, unit, verdict.asFound);
  const common = {
    quantity: phrases.quantity(verdict.quantity),
    found,
    outcome: phrases.outcome(reading),
    limit,
  };
  if (isLeftAlone(reading)) return phrases.say("report.defect.reading-after", { ...common, left: found });
  return asLeft === undefined
    ? phrases.say("report.defect.reading", common)
    : phrases.say("report.defect.reading-left", {
        ...common,
        left: phrases.reading(asLeft, unit, last),
      });
};

const sightingTitle = (phrases: Phrases, sighting: Sighting, isFirst: boolean): string => {
  const who = phrases.who(sighting.by);
  if (sighting.found === "noticed")
    return phrases.say(isFirst ? "report.defect.step.noticed" : "report.defect.step.noticed-again", { who });
  if (sighting.found === "campaign") return phrases.say("report.defect.step.campaign", { who });
  const found = phrases.say(`report.found.${sighting.found}`);
  return phrases.say(isFirst ? "report.defect.step.found" : "report.defect.step.sighting", { found, who });
};

/** Who had set the signer's secret, if that was within the day before. */
export const secretLines = ({ say, when, who }: Phrases, set: SecretSetBefore | undefined): string[] => {
  if (set === undefined) return [];
  const setting = { who: set.by === null ? say("report.secret-set.founding") : who(set.by), when: when(set.at) };
  return [
    set.chosenAt === null ? say("report.secret-set", setting) : say("report.secret-set.chosen", { ...setting, chosen: when(set.chosenAt) }),
  ];
};

/** What arrived later than this after it was seen counts as late, and both times are printed. */
const lateMs = 5 * 60_000;

/** The lines under a step: its reading, if one was taken, and who had set the signer's secret. */
const readingAndSecret = (phrases: Phrases, reading: ReadingTaken | null, secretSet: SecretSetBefore | undefined): string[] => [
  ...(reading === null ? [] : [readingLine(phrases, reading)]),
  ...secretLines(phrases, secretSet),
];

const reasonLine = ({ say }: Phrases, reason: string): string => say("report.defect.reason", { reason });

const sightingSteps = (phrases: Phrases, defect: DefectCourse): Step[] =>
  defect.sightings.map((sighting, index) => {
    const { say, when } = phrases;
    const isFirst = index === 0;
    const what = sighting.observations.join("; ");
    const isLate = defect.arrivedAt.getTime() - sighting.at.getTime() > lateMs;
    return {
      at: sighting.at,
      title: sightingTitle(phrases, sighting, isFirst),
      details: [
        ...(what === "" ? [] : [say("report.defect.seen", { what })]),
        ...(sighting.note === null ? [] : [say("report.defect.note", { note: sighting.note })]),
        ...(sighting.reading === undefined ? [] : [readingLine(phrases, sighting.reading)]),
        ...(isFirst && isLate ? [say("report.defect.arrived", { when: when(defect.arrivedAt) })] : []),
        ...(isFirst ? defect.flags.map((flag) => say("report.defect.flag", { flag })) : []),
      ],
      tone: isFirst ? categoryTone(defect.category) : "plain",
    };
  });

/** What was decided about the defect while it was open; decisions whose words were forgotten are shown as such. */
const decisionSteps = (phrases: Phrases, { regradings, deferrals, waits, notes, forgotten = [] }: DefectCourse): Step[] => [
  ...regradings.map(({ at, by, from, to, reason, secretSet }): Step => {
    const named = { from: phrases.category(from), to: phrases.category(to), who: phrases.who(by) };
    return {
      ...{ at, title: phrases.say("report.defect.step.regraded", named), tone: "plain" },
      details: [reasonLine(phrases, reason), ...secretLines(phrases, secretSet)],
    };
  }),
  ...deferrals.map(({ at, by, untilDay, reason, secretSet }): Step => {
    const named = { day: phrases.day(untilDay), who: phrases.who(by) };
    return {
      ...{ at, title: phrases.say("report.defect.step.deferred", named), tone: "warn" },
      details: [reasonLine(phrases, reason), ...secretLines(phrases, secretSet)],
    };
  }),
  ...waits.map(({ at, by, part, expectedDay, reason, secretSet }): Step => {
    const named = { part, day: phrases.day(expectedDay), who: phrases.who(by) };
    return {
      ...{ at, title: phrases.say("report.defect.step.waiting", named), tone: "warn" },
      details: [reasonLine(phrases, reason), ...secretLines(phrases, secretSet)],
    };
  }),
  ...notes.map(({ at, by, note, secretSet }): Step => {
    const title = phrases.say("report.defect.step.note", { who: phrases.who(by) });
    return { at, title, details: [phrases.say("report.defect.note", { note }), ...secretLines(phrases, secretSet)], tone: "plain" };
  }),
  ...forgotten.map(({ at, by, kind }): Step => {
    const title = phrases.say(`report.defect.step.forgotten.${kind}`, { who: phrases.who(by) });
    return { at, title, details: [word("record.forgotten", phrases.language)], tone: "plain" };
  }),
];

const repairSteps = (phrases: Phrases, { repairs }: DefectCourse): Step[] =>
  repairs.map(({ at, by, workshop, workDone, minutes, parts, reading, secretSet }) => {
    const { say, who } = phrases;
    const named = parts.map(({ name, quantity, number }) =>
      number === null ? say("report.defect.part", { quantity, name }) : say("report.defect.part-number", { quantity, name, number }),
    );
    return {
      at,
      title:
        workshop === undefined
          ? say("report.defect.step.repaired", { who: who(by) })
          : say("report.defect.step.repaired-outside", { workshop, who: who(by) }),
      tone: "plain",
      details: [
        workDone,
        minutes === null ? say("report.defect.no-minutes") : say("report.defect.minutes", { minutes }),
        named.length === 0 ? say("report.defect.no-parts") : say("report.defect.parts", { parts: named.join(", ") }),
        ...readingAndSecret(phrases, reading, secretSet),
      ],
    };
  });

/** What ends a defect: a first look that waits for a second person, no fault found, a sign-off. */
const closingSteps = (phrases: Phrases, { firstLooks, notFound, signOff }: DefectCourse): Step[] => {
  const { say, who } = phrases;
  return [
    ...firstLooks.map(
      ({ at, by, finding, reason, reading, secretSet }): Step => ({
        ...{ at, title: say(`report.defect.step.first-look.${finding}`, { who: who(by) }), tone: "plain" },
        details: [
          reasonLine(phrases, reason),
          say("report.defect.second-look"),
          ...secretLines(phrases, secretSet),
          ...(reading === null ? [] : [readingLine(phrases, reading)]),
        ],
      }),
    ),
    ...(notFound === null ? [] : [notFound]).map(
      ({ at, by, reason, reading, secretSet }): Step => ({
        ...{ at, title: say("report.defect.step.not-found", { who: who(by) }), tone: "good" },
        details: [reasonLine(phrases, reason), ...readingAndSecret(phrases, reading, secretSet)],
      }),
    ),
    ...(signOff === null ? [] : [signOff]).map(
      ({ at, by, statement, reading, secretSet }): Step => ({
        ...{ at, title: say("report.defect.step.signed-off", { who: who(by) }), tone: "good" },
        details: [
          ...(statement === null ? [] : [say("report.defect.statement", { statement })]),
          ...readingAndSecret(phrases, reading, secretSet),
        ],
      }),
    ),
  ];
};

/** Everything that happened to a defect, in order of time. */
export const courseOf = (phrases: Phrases, defect: DefectCourse): Course => {
  const steps = [sightingSteps, decisionSteps, repairSteps, closingSteps].flatMap((stepsOf) => stepsOf(phrases, defect));
  // A stable sort: steps of one moment stay in the order above, the only one in which they can have happened.
  steps.sort((one, other) => one.at.getTime() - other.at.getTime());
  return { kind: "course", steps: steps.map(({ at, ...step }) => ({ when: phrases.when(at), ...step })) };
};
