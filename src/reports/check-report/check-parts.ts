// Pieces that the papers about a check and about an inspection share.
import type { Unit } from "../../../shared/contracts/quantities.ts";
import { inGroups } from "../../ledger/index.ts";
import type { Block, Cell, Facts, Table, Tone } from "../../pdf/index.ts";
import { recordBlocks } from "../against-records.ts";
import { readingsOfOne } from "../defect-parts.ts";
import { categoryTone, type Phrases } from "../phrases.ts";
import { small } from "../small-print.ts";
import type { AnswerOnReport, CameOfIt, CheckBase, DailyCheckFacts, ReadingOnReport, WeeklyInspectionFacts } from "./check-facts.ts";

type FactRow = Facts["rows"][number];
type Told = NonNullable<DailyCheckFacts["told"] | WeeklyInspectionFacts["told"]>;

/** Which record the paper tells of, what was changed or corrected in it, and what came of it. */
export const recordAndWhatCame = (phrases: Phrases, facts: DailyCheckFacts | WeeklyInspectionFacts): Block[] => [
  ...recordBlocks(phrases, facts.record),
  ...sheetLine(phrases, facts.told),
  ...asSentBlocks(phrases, facts.told),
  ...correctionBlocks(phrases, facts),
  ...cameBlocks(phrases, facts.told?.cameOfIt ?? null, facts.defectCount),
];

export const readingsAndPhotos = (phrases: Phrases, facts: DailyCheckFacts | WeeklyInspectionFacts): Block[] => [
  ...readingBlocks(phrases, facts.told?.readings ?? []),
  ...namedPhotoBlocks(phrases, facts),
];

/** That it has no photos is a line of its facts, and no section. */
export const noPhotosRow = ({ say }: Phrases, { photos, awaitedCount }: CheckBase["photos"]): FactRow[] =>
  photos.length > 0 || awaitedCount > 0 ? [] : [{ label: say("report.defect.photos"), value: say("report.none") }];

const noted = (lines: readonly string[]): Pick<Cell, "note"> => (lines.length === 0 ? {} : { note: lines.join("; ") });

/** A value as it was sent; the unit may be missing. */
export const valueAsSent = (phrases: Phrases, { value, unit }: { readonly value: number; readonly unit: Unit | null }): string =>
  phrases.say("report.check.unjudged", { value: unit === null ? phrases.number(value) : phrases.amount(value, unit) });

const resultTones: Readonly<Record<AnswerOnReport["result"], Tone>> = {
  ok: "good",
  defect: "bad",
  "put-right": "good",
  "not-applicable": "quiet",
  none: "warn",
};

export const resultCell = ({ say }: Phrases, { result }: AnswerOnReport): Cell => ({
  text: say(`report.check.result.${result}`),
  tone: resultTones[result],
});

/** What was seen at an item, in words, and what was noted; nothing where all that is said of it is that it is in order. */
export const seenCell = (phrases: Phrases, { seen, note, photoCount, unjudged }: AnswerOnReport): Cell => ({
  text: [...seen, ...(note === null ? [] : [phrases.say("record.quoted", { text: note })])].join("; "),
  ...noted([
    ...(unjudged === null ? [] : [valueAsSent(phrases, unjudged)]),
    ...(photoCount === 0 ? [] : [phrases.say("report.check.photos-named", { count: photoCount })]),
  ]),
});

/** What was odd about the record, as a line of its facts. */
export const flagRows = ({ say }: Phrases, { flags }: CheckBase): FactRow[] =>
  flags.length === 0 ? [] : [{ label: say("report.check.flags"), value: flags.join("; "), tone: "warn" as const }];

/** What of its body had to be changed so that it could be taken; nothing where it was taken as it was sent. */
const asSentBlocks = ({ say }: Phrases, told: Told | null): Block[] => {
  const asSent = told?.asSent ?? null;
  if (asSent === null) return [];
  return [
    { kind: "heading", level: 2, text: say("report.check.as-sent") },
    {
      kind: "table",
      alt: say("report.check.as-sent-alt"),
      columns: [
        { head: say("report.check.corrections.where"), share: 34 },
        { head: say("report.check.as-sent.was"), share: 66 },
      ],
      rows: asSent.parts.map(({ pointer, was }) => [pointer === "" ? "/" : pointer, was]),
      empty: say("report.none"),
    },
    small(say("report.check.as-sent.digest", { hash: inGroups(asSent.sha256) })),
  ];
};

const sheetLine = ({ say }: Phrases, told: Told | null): Block[] =>
  told === null || told.sheet.sha256 === null
    ? []
    : [small(say("report.check.sheet-sha256", { version: told.sheet.version, hash: inGroups(told.sheet.sha256) }))];

/** Readings as any report shows them, each with how it was taken. */
const readingBlocks = (phrases: Phrases, readings: readonly ReadingOnReport[]): Block[] => {
  if (readings.length === 0) return [];
  const { say } = phrases;
  const table = readingsOfOne(
    phrases,
    readings.map(({ reading }) => reading),
    say("report.check.readings-alt"),
  );
  const rows = table.rows.map(([quantity = "", ...rest], index) => {
    const taken = readings[index];
    const lines = taken ? howTaken(phrases, taken) : [];
    return lines.length === 0 || typeof quantity !== "string" ? [quantity, ...rest] : [{ text: quantity, ...noted(lines) }, ...rest];
  });
  const shares = [34, 11, 11, 26, 18];
  const columns = table.columns.map((column, index) => ({ ...column, share: shares[index] ?? column.share }));
  return [
    { kind: "heading", level: 2, text: say("report.defect.readings") },
    { ...table, columns, rows },
  ];
};

const howTaken = (phrases: Phrases, { reading, method, places, celsius, load, readTwice }: ReadingOnReport): string[] => {
  const { say } = phrases;
  const { unit } = reading.verdict.reading;
  const values = places.map((value) => phrases.amount(value, unit)).join(", ");
  return [
    ...(method === null ? [] : [method]),
    ...(places.length === 0 ? [] : [say("report.check.places", { values })]),
    ...(celsius === null ? [] : [say("report.check.celsius", { celsius: phrases.number(celsius) })]),
    ...(load === null ? [] : [say(`report.check.load.${load}`)]),
    ...(readTwice ? [say("report.check.read-twice")] : []),
  ];
};

/** What came of the findings; where their words were forgotten, how many there were. */
const cameBlocks = (phrases: Phrases, came: readonly CameOfIt[] | null, defectCount: number): Block[] => {
  const { say } = phrases;
  const heading: Block = { kind: "heading", level: 2, text: say("report.check.came") };
  if (came === null) {
    const text = defectCount === 0 ? say("report.check.came.none") : say("report.check.came.kept", { count: defectCount });
    return [heading, { kind: "paragraph", text }];
  }
  const table: Table = {
    kind: "table",
    alt: say("report.check.came-alt"),
    columns: [
      { head: say("report.label.item"), share: 40 },
      { head: say("report.label.category"), share: 16 },
      { head: say("report.check.came.what"), share: 26 },
      { head: say("report.label.due"), share: 18 },
    ],
    rows: came.map((one) => [
      {
        text: `${one.itemName}${one.isRecurring ? ` (${say("report.recurring.mark")})` : ""}`,
        bold: true,
        ...noted([...one.seen, ...(one.defectId === null ? [] : [say("report.check.came.record", { id: one.defectId })])]),
      },
      one.category === null ? "\u2013" : { text: phrases.category(one.category), tone: categoryTone(one.category) },
      { text: say(`report.check.came.${one.what}`), ...noted(one.closedBetween ? [say("report.defect.closed-between")] : []) },
      one.dueDay === null ? "\u2013" : phrases.day(one.dueDay),
    ]),
    empty: say("report.check.came.none"),
  };
  return [heading, table];
};

/** What was said later to be wrong in the record; nothing where nobody said so. */
const correctionBlocks = (phrases: Phrases, { corrections }: CheckBase): Block[] => {
  if (corrections.length === 0) return [];
  const { say } = phrases;
  return [
    { kind: "heading", level: 2, text: say("report.check.corrections") },
    { ...small(say("report.check.corrections-note")), leads: true },
    {
      kind: "table",
      alt: say("report.check.corrections-alt"),
      columns: [
        { head: say("report.check.corrections.where"), share: 26 },
        { head: say("report.check.corrections.was"), share: 20 },
        { head: say("report.check.corrections.right"), share: 20 },
        { head: say("report.check.corrections.why"), share: 34 },
      ],
      rows: corrections.map(({ pointer, was, right, reason, by, at }) => [
        pointer ?? say("report.check.corrections.whole"),
        pointer === null ? "\u2013" : was,
        { text: right, bold: true },
        { text: reason, note: `${phrases.who(by)}, ${phrases.when(at)}` },
      ]),
      empty: say("report.none"),
    },
  ];
};

/** The photos of the record, each by the hash of what is kept; nothing where it names none. */
const namedPhotoBlocks = (phrases: Phrases, { photos: { photos, awaitedCount } }: CheckBase): Block[] => {
  if (photos.length === 0 && awaitedCount === 0) return [];
  const { say } = phrases;
  const table: Table = {
    kind: "table",
    alt: say("report.check.photos-alt"),
    columns: [
      { head: say("report.label.item"), share: 24 },
      { head: say("report.check.photo-sha256"), share: 50 },
      { head: say("report.check.arrived"), share: 26 },
    ],
    rows: photos.map(({ sha256, itemName, by, at }) => [
      itemName ?? "\u2013",
      inGroups(sha256),
      { text: phrases.when(at), note: phrases.who(by) },
    ]),
    empty: say("report.none"),
  };
  return [
    { kind: "heading", level: 2, text: say("report.check.photos") },
    ...(photos.length === 0 ? [] : [table]),
    ...(awaitedCount === 0 ? [] : [small(say("report.defect.photos-awaited", { count: awaitedCount }))]),
  ];
};
