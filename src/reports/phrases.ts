// How facts are worded on a report: words, dates in the depot's time zone, quantities with their units, limits and verdicts.
import type { Category, Competence, Standing } from "../../shared/contracts/common.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { EndingReason } from "../../shared/rules/papers.ts";
import type { DecidingLimit, ValueVerdict } from "../../shared/rules/verdict.ts";
import { decimalsBeside, formatQuantity, LIMIT_DECIMALS } from "../../shared/units.ts";
import type { campaignReportWords } from "../../shared/words/en/campaign-reports.ts";
import type { checkReportWords } from "../../shared/words/en/check-reports.ts";
import type { defectReportWords } from "../../shared/words/en/defect-reports.ts";
import type { fallReportWords } from "../../shared/words/en/fall-reports.ts";
import type { figureWords } from "../../shared/words/en/figures.ts";
import type { inShortWords } from "../../shared/words/en/in-short.ts";
import type { insightWords } from "../../shared/words/en/insight.ts";
import type { printWords } from "../../shared/words/en/prints.ts";
import type { recordWords } from "../../shared/words/en/records.ts";
import type { reportWords } from "../../shared/words/en/reports.ts";
import type { reviewWords } from "../../shared/words/en/review.ts";
import type { roadworthinessReportWords } from "../../shared/words/en/roadworthiness-reports.ts";
import type { sheetAndLabelWords } from "../../shared/words/en/sheets-and-labels.ts";
import { type CountedKey, isWordKey, type Language, type WordParams, word, wordByKey, wordCounted } from "../../shared/words/index.ts";
import { isolated } from "../../shared/words/isolate.ts";
import { sayLimit } from "../../shared/words/say-guidance.ts";
import { clearMs } from "../figures/index.ts";
import type { ReportHead, Tone } from "../pdf/index.ts";
import type { DefectCourse } from "./defect-facts.ts";
import type { Frame, MachineIdentity, Person, ReadingTaken } from "./facts.ts";

export type ReportKey =
  | keyof typeof reportWords
  | keyof typeof defectReportWords
  | keyof typeof roadworthinessReportWords
  | keyof typeof sheetAndLabelWords
  | keyof typeof campaignReportWords
  | keyof typeof checkReportWords
  | keyof typeof fallReportWords
  | keyof typeof figureWords
  | keyof typeof reviewWords
  | keyof typeof inShortWords
  | keyof typeof recordWords
  | keyof typeof printWords
  | keyof typeof insightWords
  | "limit.not-set"
  | `paper-ending.${EndingReason}`;

/** Everything that a compose function says goes through here. */
export interface Phrases {
  readonly language: Language;
  /** of the report */
  readonly timeZone: string;
  readonly say: (key: ReportKey, params?: WordParams) => string;
  /** in the plural form for `count`, which the text contains as `{count}` */
  readonly sayCounted: (key: CountedKey, count: number) => string;
  /** `14 Jul 2026, 05:31` on the report's clock. */
  readonly when: (instant: Date) => string;
  /** The same on the clock of the machine's own depot, where the report covers several. */
  readonly whenAt: (instant: Date, machine: MachineIdentity) => string;
  /** The model, and where the report covers several depots the machine's own. */
  readonly modelOf: (machine: MachineIdentity) => string;
  /** `Tue 14 Jul 2026` for a calendar day. */
  readonly day: (day: string) => string;
  /** `Jul 2026` for a month `YYYY-MM`. */
  readonly month: (month: string) => string;
  /** `14 Jul` for a calendar day. */
  readonly shortDay: (day: string) => string;
  readonly who: (person: Person) => string;
  /** with as many decimals as it takes to tell it from the values `beside` it */
  readonly amount: (value: number, unit: Unit, beside?: readonly number[]) => string;
  /** a limit, to its last digit */
  readonly bound: (value: number, unit: Unit) => string;
  readonly km: (value: number | null) => string;
  /** Days, hours and minutes, to the minute. */
  readonly duration: (milliseconds: number) => string;
  readonly limit: (limit: DecidingLimit) => string;
  /** A reading, and the figure that was compared with the limit if that is a different one (a chain's elongation). */
  readonly reading: (value: number, unit: Unit, judged: ValueVerdict) => string;
  /** The limit that the reading was compared with; one in percent of length also as a length, computed back from the reading. */
  readonly limitOf: (value: number, unit: Unit, judged: ValueVerdict) => string;
  readonly outcome: (reading: ReadingTaken) => string;
  readonly category: (category: Category) => string;
  readonly standing: (standing: Standing) => string;
  readonly competence: (competence: Competence) => string;
  readonly quantity: (quantity: Quantity) => string;
  readonly unit: (unit: Unit) => string;
  readonly number: (value: number) => string;
  /** A source as it is cited: what it is called and the place in it. A key without a source is printed as it is. */
  readonly source: (key: string) => string;
}

// English numbers and dates are British on a report; other languages use their own form.
const localeOf = (language: Language): string => (language === "en" ? "en-GB" : language);

export const phrasesFor = (frame: Pick<Frame, "language" | "timeZone" | "clocks">): Phrases => {
  const locale = localeOf(frame.language);
  const calendar = { calendar: "gregory", numberingSystem: "latn" } as const;
  const clocks = new Map<string, Intl.DateTimeFormat>();
  const onClockOf = (timeZone: string, instant: Date): string => {
    let clock = clocks.get(timeZone);
    if (!clock) {
      const time = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", hourCycle: "h23" } as const;
      // In a report with several time zones each time names its own.
      const named = frame.clocks === "each-depot" ? ({ timeZoneName: "short" } as const) : {};
      clock = new Intl.DateTimeFormat(locale, { ...calendar, ...time, ...named, timeZone });
      clocks.set(timeZone, clock);
    }
    return clock.format(instant);
  };
  const days = new Intl.DateTimeFormat(locale, {
    ...calendar,
    timeZone: "UTC",
    weekday: "short",
    day: "numeric",
    month: "short",
    year: "numeric",
  });
  const months = new Intl.DateTimeFormat(locale, { ...calendar, timeZone: "UTC", month: "short", year: "numeric" });
  const shortDays = new Intl.DateTimeFormat(locale, {
    ...calendar,
    timeZone: "UTC",
    day: "numeric",
    month: "short",
  });
  const numbers = new Intl.NumberFormat(locale, {
    numberingSystem: "latn",
    maximumFractionDigits: 2,
  });
  // A calendar day is no instant: it is read and written in UTC so that no zone can move it.
  const calendarDay = (day: string) => new Date(`${day}T00:00:00Z`);
  const own = frame.language;
  // Isolated, so that a Hebrew or Arabic name does not reverse the words around it.
  const kept = (value: WordParams[string]) => (typeof value === "string" ? isolated(value) : value);
  const say = (key: ReportKey, params: WordParams = {}): string =>
    word(key, own, Object.fromEntries(Object.entries(params).map(([name, value]) => [name, kept(value)])));
  const sayCounted = (key: CountedKey, count: number): string => wordCounted(key, count, own, { count: numbers.format(count) });
  const amount = (value: number, unit: Unit, beside: readonly number[] = []): string =>
    formatQuantity(value, unit, locale, decimalsBeside(value, beside, unit));
  return {
    language: own,
    timeZone: frame.timeZone,
    say,
    sayCounted,
    when: (instant) => onClockOf(frame.timeZone, instant),
    whenAt: (instant, machine) => onClockOf(machine.depot?.timeZone ?? frame.timeZone, instant),
    modelOf: ({ modelName, depot }) => (depot ? say("report.of-depot", { model: modelName, depot: depot.name }) : modelName),
    day: (day) => days.format(calendarDay(day)).replace(",", ""),
    month: (month) => months.format(calendarDay(`${month}-01`)),
    shortDay: (day) => shortDays.format(calendarDay(day)),
    who: (person) => say("report.person", { name: person.name, number: person.staffNumber }),
    amount,
    km: (value) => (value === null ? say("report.not-recorded") : amount(value, "km")),
    duration: (milliseconds) => {
      // Rounded up, so that the duration printed is never shorter than the real one.
      const minutes = Math.ceil(milliseconds / 60_000);
      const hours = Math.floor(minutes / 60);
      const time = (hours: number): string =>
        say(minutes % 60 === 0 ? "report.duration.whole-hours" : "report.duration.hours", { hours, minutes: minutes % 60 });
      if (minutes < 120) return say("report.duration.minutes", { minutes });
      return hours < 48 ? time(hours) : say("report.duration.days", { days: Math.floor(hours / 24), time: time(hours % 24) });
    },
    limit: (limit) => sayLimit(limit, own),
    reading: (value, unit, { compared, limit }) =>
      compared === undefined
        ? amount(value, unit)
        : say("report.reading-compared", {
            read: amount(value, unit),
            figure: amount(
              compared.value,
              compared.unit,
              [limit.least, limit.most].filter((bound) => bound !== null),
            ),
          }),
    limitOf: (value, unit, { compared, limit }) => {
      if (compared?.unit !== "percent" || unit === "percent" || limit.unit !== "percent" || limit.most === null)
        return sayLimit(limit, own);
      const longest = (value * (1 + limit.most / 100)) / (1 + compared.value / 100);
      return say("report.limit-in-length", { limit: sayLimit(limit, own), longest: formatQuantity(longest, unit, locale) });
    },
    bound: (value, unit) => formatQuantity(value, unit, locale, LIMIT_DECIMALS),
    outcome: ({ verdict }) => {
      if (verdict.result !== "defect") return say(`report.outcome.${verdict.result}`);
      const decided = verdict.asLeft ?? verdict.asFound;
      return decided.offBy === 0
        ? say("report.outcome.defect")
        : say("report.outcome.defect-by", {
            by: amount(Math.abs(decided.offBy), decided.limit.unit, [0]),
          });
    },
    category: (category) => word(`category.${category}`, own),
    standing: (standing) => word(`standing.${standing}`, own),
    competence: (competence) => word(`competence.${competence}`, own),
    quantity: (quantity) => word(`quantity.${quantity}`, own),
    unit: (unit) => word(`unit.${unit}`, own),
    number: (value) => numbers.format(value),
    source: (key) => (isWordKey(`source.${key}`) ? wordByKey(`source.${key}`, own) : key),
  };
};

/** How many reasons are printed if the machine is one of many or not the report's subject: the gravest, and how many more there are. */
const mostReasonsTold = 3;
export const firstReasons = ({ say }: Phrases, reasons: readonly string[]): readonly string[] => {
  const more = reasons.length - mostReasonsTold;
  return more > 1 ? [...reasons.slice(0, mostReasonsTold), say("report.reasons.more", { count: more })] : reasons;
};
export const reasonsInRow = (phrases: Phrases, reasons: readonly string[]): string => firstReasons(phrases, reasons).join("\n");

/** What a report about a past moment is called: the moment is a part of its title. */
export const titledAsAt = ({ say, when }: Phrases, { asAt }: Frame, title: string): string =>
  asAt === undefined ? title : say("report.titled-as-at", { title, at: when(asAt) });

/** What a box says under its title, with the past moment that it is about. */
export const notedAsAt = ({ say, when }: Phrases, { asAt }: Frame, note: string): string =>
  asAt === undefined ? note : say("report.noted-as-at", { note, at: when(asAt) });

/** The head of a report, the caution with it. */
export const headOf = (phrases: Phrases, frame: Frame, own: Pick<ReportHead, "title" | "subject" | "period">): ReportHead => ({
  ...own,
  title: titledAsAt(phrases, frame, own.title),
  firmName: frame.firmName,
  depotName: frame.depotName,
  printedAt: phrases.say(frame.clocks === "each-depot" ? "report.printed.each-depot" : "report.printed", {
    when: phrases.when(frame.printedAt),
    zone: frame.timeZone,
  }),
  createdAt: frame.printedAt,
  language: localeOf(frame.language),
  timeZone: frame.timeZone,
  pageOf: phrases.say("report.page-of", { page: "{page}", pages: "{pages}" }),
  caution: word("caution.line", frame.language),
  notDrawn: phrases.say("report.not-drawn", { signs: "{signs}" }),
});

export const periodText = (phrases: Phrases, from: string, to: string): string =>
  from === to ? phrases.day(from) : phrases.say("report.period", { from: phrases.day(from), to: phrases.day(to) });

/** Dangerous and major defects ground a machine and are shown that way; the others do not. */
export const categoryTone = (category: Category): Tone => (category === "advisory" ? "plain" : category === "minor" ? "warn" : "bad");

export const standingTones: Readonly<Record<Standing, Tone>> = {
  fit: "good",
  unchecked: "quiet",
  grounded: "bad",
  "inspection-overdue": "warn",
  "papers-expired": "warn",
  withdrawn: "plain",
};

export const isClosed = (defect: DefectCourse): boolean => defect.status === "signed-off" || defect.status === "not-found";

/** When a defect was closed, by a sign-off or by the finding that there is no fault; null while it is open. */
export const closedAt = (defect: DefectCourse): Date | null =>
  defect.status === "signed-off" ? (defect.signOff?.at ?? null) : defect.status === "not-found" ? (defect.notFound?.at ?? null) : null;

/** From the first sighting until it was closed, in milliseconds; null while it is open. */
export const timeToClearMs = (defect: DefectCourse): number | null => {
  const closed = closedAt(defect);
  return closed === null ? null : clearMs(defect.sightings[0].at, closed);
};

const gravity: Readonly<Record<Category, number>> = {
  dangerous: 0,
  major: 1,
  minor: 2,
  advisory: 3,
};

/** The gravest first; within a category the newest first; then by mark, so that equal facts make equal reports. */
export const gravestFirst = (a: DefectCourse, b: DefectCourse): number =>
  gravity[a.category] - gravity[b.category] ||
  b.sightings[0].at.getTime() - a.sightings[0].at.getTime() ||
  (a.machine.registrationMark < b.machine.registrationMark ? -1 : a.machine.registrationMark > b.machine.registrationMark ? 1 : 0) ||
  (a.id < b.id ? -1 : 1);
