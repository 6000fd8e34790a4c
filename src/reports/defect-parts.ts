// Pieces that several reports share: a defect as a table row or as a course, a reading as a table row.
import { word } from "../../shared/words/index.ts";
import type { Cell, Column, Course, Table, Tone } from "../pdf/index.ts";
import type { DefectCourse, DefectStatus, ReadingTaken, SecretSetBefore, Sighting } from "./facts.ts";
import { categoryTone, closedAt, type Phrases, sourceText, timeToClearMs } from "./phrases.ts";

export const statusTones: Readonly<Record<DefectStatus, Tone>> = {
  open: "bad",
  deferred: "warn",
  repaired: "warn",
  "signed-off": "good",
  "not-found": "good",
};

/** A minor one that was not put right by its last day, and keeps the machine off the road since. */
export const isOverdue = ({ category, status, grounds }: DefectCourse): boolean =>
  grounds && category === "minor" && (status === "open" || status === "deferred");

/** Open is alarming only where it grounds. */
export const statusTone = (defect: DefectCourse): Tone =>
  isOverdue(defect) ? "bad" : defect.status === "open" && !defect.grounds ? "warn" : statusTones[defect.status];

/** What was seen, over all sightings, each once. */
export const seenText = (defect: DefectCourse): string => {
  const seen = new Set(
    defect.sightings.flatMap((sighting) => [...sighting.observations, ...(sighting.note === null ? [] : [`\u201c${sighting.note}\u201d`])]),
  );
  return [...seen].join("; ");
};

export const categoryCell = (phrases: Phrases, defect: DefectCourse): Cell => ({
  text: phrases.category(defect.category),
  tone: categoryTone(defect.category),
  bold: defect.category === "dangerous",
});

export const statusCell = (phrases: Phrases, defect: DefectCourse): Cell => {
  const closed = closedAt(defect);
  const clear = timeToClearMs(defect);
  const lastDeferral = defect.deferrals.at(-1);
  const note =
    closed !== null && clear !== null
      ? `${phrases.whenAt(closed, defect.machine)} (${phrases.duration(clear)})`
      : defect.status === "deferred" && lastDeferral !== undefined
        ? phrases.say("report.until", { day: phrases.day(lastDeferral.untilDay) })
        : defect.dueDay === null
          ? undefined
          : `${phrases.say("report.label.due")} ${phrases.day(defect.dueDay)}`;
  return {
    text: phrases.say(`report.status.${defect.status}`),
    tone: statusTone(defect),
    ...(note === undefined ? {} : { note }),
  };
};

/** Item, what was seen, and whether it has come back, in one cell. */
export const itemCell = (phrases: Phrases, defect: DefectCourse): Cell => {
  const recurring = defect.isRecurring ? ` (${phrases.say("report.recurring.mark")})` : "";
  const seen = seenText(defect);
  return {
    text: `${defect.itemName}${recurring}`,
    bold: true,
    // A note that names no item may be all that was said.
    ...(seen === "" || seen === defect.itemName ? {} : { note: seen }),
  };
};

/** One reading, taken after the work: nobody read how it was found. */
const isLeftAlone = ({ isAfterWork, verdict }: ReadingTaken): boolean => isAfterWork === true && verdict.reading.asLeft === undefined;

/** A reading with its limit and verdict: `as found / as left / limit / verdict`. */
const readingRow = (phrases: Phrases, reading: ReadingTaken): (string | Cell)[] => {
  const { verdict } = reading;
  const { unit, asFound, asLeft } = verdict.reading;
  const last = verdict.asLeft ?? verdict.asFound;
  const { limit } = last;
  const found = phrases.reading(asFound, unit, verdict.asFound);
  const tones = {
    within: "good",
    corrected: "good",
    defect: "bad",
    "not-set": "quiet",
  } as const;
  return [
    phrases.quantity(verdict.quantity),
    ...(isLeftAlone(reading) ? ["\u2013", found] : [found, asLeft === undefined ? "\u2013" : phrases.reading(asLeft, unit, last)]),
    {
      text: phrases.limitOf(asLeft ?? asFound, unit, last),
      ...(limit.kind === "not-set" ? {} : { note: sourceText(limit.source) }),
    },
    { text: phrases.outcome(reading), tone: tones[verdict.result] },
    { text: phrases.when(reading.at), note: phrases.who(reading.by) },
  ];
};

/** The readings of one inspection: when and by whom stands above them, so the limit has the room. */
export const readingsOfOne = (phrases: Phrases, readings: readonly ReadingTaken[], alt: string): Table => {
  const { columns, rows, ...table } = readingsTable(phrases, readings, alt);
  const shares = [22, 11, 11, 36, 20];
  return {
    ...table,
    columns: shares.flatMap((share, index) => (columns[index] ? [{ ...columns[index], share }] : [])),
    rows: rows.map((row) => row.slice(0, shares.length)),
  };
};

export const readingsTable = (phrases: Phrases, readings: readonly ReadingTaken[], alt: string): Table => {
  const { say } = phrases;
  const columns: Column[] = [
    { head: say("report.label.quantity"), share: 17 },
    { head: say("report.label.as-found"), share: 9, align: "right" },
    { head: say("report.label.as-left"), share: 9, align: "right" },
    { head: say("report.label.limit"), share: 28 },
    { head: say("report.label.verdict"), share: 19 },
    { head: say("report.label.taken"), share: 18 },
  ];
  return {
    kind: "table",
    alt,
    columns,
    rows: readings.map((reading) => readingRow(phrases, reading)),
    empty: say("report.defect.no-readings"),
  };
};

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
  const found = phrases.say(`report.found.${sighting.found}`);
  return phrases.say(isFirst ? "report.defect.step.found" : "report.defect.step.sighting", { found, who });
};

/** Who had set the secret of the one who signed, where that was within the day before. */
export const secretLines = ({ say, when, who }: Phrases, set: SecretSetBefore | undefined): string[] => {
  if (set === undefined) return [];
  const setting = { who: set.by === null ? say("report.secret-set.founding") : who(set.by), when: when(set.at) };
  return [
    set.chosenAt === null ? say("report.secret-set", setting) : say("report.secret-set.chosen", { ...setting, chosen: when(set.chosenAt) }),
  ];
};

/** Later than this after it was seen counts as late, and both times are printed. */
const lateMs = 5 * 60_000;

/** Everything that happened to a defect, in order of time. */
export const courseOf = (phrases: Phrases, defect: DefectCourse): Course => {
  const { say, when, who } = phrases;
  const steps: { at: Date; title: string; details: string[]; tone: Tone }[] = [];
  defect.sightings.forEach((sighting, index) => {
    const details =
      sighting.observations.length === 0
        ? []
        : [
            say("report.defect.seen", {
              what: sighting.observations.join("; "),
            }),
          ];
    if (sighting.note !== null) details.push(say("report.defect.note", { note: sighting.note }));
    if (sighting.reading !== undefined) details.push(readingLine(phrases, sighting.reading));
    const isLate = defect.arrivedAt.getTime() - sighting.at.getTime() > lateMs;
    if (index === 0 && isLate) details.push(say("report.defect.arrived", { when: when(defect.arrivedAt) }));
    if (index === 0) details.push(...defect.flags.map((flag) => say("report.defect.flag", { flag })));
    steps.push({
      at: sighting.at,
      title: sightingTitle(phrases, sighting, index === 0),
      details,
      tone: index === 0 ? categoryTone(defect.category) : "plain",
    });
  });
  for (const { at, by, from, to, reason, secretSet } of defect.regradings) {
    const title = say("report.defect.step.regraded", {
      from: phrases.category(from),
      to: phrases.category(to),
      who: who(by),
    });
    steps.push({
      at,
      title,
      details: [say("report.defect.reason", { reason }), ...secretLines(phrases, secretSet)],
      tone: "plain",
    });
  }
  for (const { at, by, untilDay, reason, secretSet } of defect.deferrals) {
    const title = say("report.defect.step.deferred", {
      day: phrases.day(untilDay),
      who: who(by),
    });
    steps.push({
      at,
      title,
      details: [say("report.defect.reason", { reason }), ...secretLines(phrases, secretSet)],
      tone: "warn",
    });
  }
  for (const { at, by, kind } of defect.forgotten ?? []) {
    steps.push({
      at,
      title: say(`report.defect.step.forgotten.${kind}`, { who: who(by) }),
      details: [word("record.forgotten", phrases.language)],
      tone: "plain",
    });
  }
  for (const repair of defect.repairs) {
    const parts = repair.parts.map(({ name, quantity, number }) =>
      number === null ? say("report.defect.part", { quantity, name }) : say("report.defect.part-number", { quantity, name, number }),
    );
    const details = [
      repair.workDone,
      repair.minutes === null ? say("report.defect.no-minutes") : say("report.defect.minutes", { minutes: repair.minutes }),
      parts.length === 0 ? say("report.defect.no-parts") : say("report.defect.parts", { parts: parts.join(", ") }),
    ];
    if (repair.reading !== null) details.push(readingLine(phrases, repair.reading));
    details.push(...secretLines(phrases, repair.secretSet));
    steps.push({
      at: repair.at,
      title: say("report.defect.step.repaired", { who: who(repair.by) }),
      details,
      tone: "plain",
    });
  }
  for (const { at, by, finding, reason, reading, secretSet } of defect.firstLooks) {
    steps.push({
      at,
      title: say(`report.defect.step.first-look.${finding}`, { who: who(by) }),
      details: [
        say("report.defect.reason", { reason }),
        say("report.defect.second-look"),
        ...secretLines(phrases, secretSet),
        ...(reading === null ? [] : [readingLine(phrases, reading)]),
      ],
      tone: "plain",
    });
  }
  if (defect.notFound !== null) {
    const { at, by, reason, reading, secretSet } = defect.notFound;
    const details = [
      say("report.defect.reason", { reason }),
      ...(reading === null ? [] : [readingLine(phrases, reading)]),
      ...secretLines(phrases, secretSet),
    ];
    steps.push({
      at,
      title: say("report.defect.step.not-found", { who: who(by) }),
      details,
      tone: "good",
    });
  }
  if (defect.signOff !== null) {
    const { at, by, statement, reading, secretSet } = defect.signOff;
    const details = [
      ...(statement === null ? [] : [say("report.defect.statement", { statement })]),
      ...(reading === null ? [] : [readingLine(phrases, reading)]),
      ...secretLines(phrases, secretSet),
    ];
    steps.push({
      at,
      title: say("report.defect.step.signed-off", { who: who(by) }),
      details,
      tone: "good",
    });
  }
  // A stable sort: what happened at one moment stays in the order above, which is the order in which it must have happened.
  steps.sort((a, b) => a.at.getTime() - b.at.getTime());
  return {
    kind: "course",
    steps: steps.map(({ at, ...step }) => ({ when: when(at), ...step })),
  };
};
