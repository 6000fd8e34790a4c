// Pieces that several reports share: a defect as a table row or as a course, a reading as a table row.
import { sayWait } from "../../shared/words/say-reason.ts";
import type { Cell, Column, Table, Tone } from "../pdf/index.ts";
import type { DefectCourse, DefectStatus } from "./defect-facts.ts";
import type { ReadingTaken } from "./facts.ts";
import { categoryTone, closedAt, type Phrases, timeToClearMs } from "./phrases.ts";

export const statusTones: Readonly<Record<DefectStatus, Tone>> = {
  open: "bad",
  deferred: "warn",
  repaired: "warn",
  "signed-off": "good",
  "not-found": "good",
};

/** A minor defect that was not put right by its last day, and has kept the machine off the road since. */
export const isOverdue = ({ category, status, grounds }: DefectCourse): boolean =>
  grounds && category === "minor" && (status === "open" || status === "deferred");

/** An open defect has the alarming tone only if it grounds the machine. */
export const statusTone = (defect: DefectCourse): Tone =>
  isOverdue(defect) ? "bad" : defect.status === "open" && !defect.grounds ? "warn" : statusTones[defect.status];

/** What was seen, over all sightings, each once. */
export const seenText = ({ say }: Phrases, defect: DefectCourse): string => {
  const seen = new Set(
    defect.sightings.flatMap((sighting) => [
      ...sighting.observations,
      ...(sighting.note === null ? [] : [say("record.quoted", { text: sighting.note })]),
    ]),
  );
  return [...seen].join("; ");
};

export const categoryCell = (phrases: Phrases, defect: DefectCourse): Cell => ({
  text: phrases.category(defect.category),
  tone: categoryTone(defect.category),
  bold: defect.category === "dangerous",
});

/** What it waits for and until when. */
export const waitOf = (phrases: Phrases, { part, expectedDay }: NonNullable<DefectCourse["waiting"]>): string =>
  sayWait(phrases.day(expectedDay), part, phrases.language);

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
  const wait = defect.waiting === null ? [] : [waitOf(phrases, defect.waiting)];
  const notes = [...(note === undefined ? [] : [note]), ...wait];
  return {
    text: phrases.say(`report.status.${defect.status}`),
    tone: statusTone(defect),
    ...(notes.length === 0 ? {} : { note: notes.join("; ") }),
  };
};

/** Item, what was seen, and whether it has come back, in one cell. */
export const itemCell = (phrases: Phrases, defect: DefectCourse): Cell => {
  const recurring = defect.isRecurring ? ` (${phrases.say("report.recurring.mark")})` : "";
  const seen = seenText(phrases, defect);
  return {
    text: `${defect.itemName}${recurring}`,
    bold: true,
    // A note that names no item may be all that was said.
    ...(seen === "" || seen === defect.itemName ? {} : { note: seen }),
  };
};

/** Whether only one reading was taken, after the work: how the part was found was not read. */
export const isLeftAlone = ({ isAfterWork, verdict }: ReadingTaken): boolean =>
  isAfterWork === true && verdict.reading.asLeft === undefined;

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
      ...(limit.kind === "not-set" ? {} : { note: phrases.source(limit.source) }),
    },
    { text: phrases.outcome(reading), tone: tones[verdict.result] },
    { text: phrases.when(reading.at), note: phrases.who(reading.by) },
  ];
};

/** The readings of one inspection: when and by whom is printed above them, so the limit gets that column's width. */
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
