// Days and weeks as a depot counts them. A day is `YYYY-MM-DD` on the wall calendar of the depot's zone; instants are UTC.
// Everything comes from the zone data behind Intl: an offset is never written down, because governments change them.
import { remember } from "../remember.ts";

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** No zone has stood further from UTC than this, historic zones included. */
const WIDEST_OFFSET_MS = 16 * HOUR_MS;
/** Before this no zone changed its offset, so one look-up serves all earlier instants, years that Intl prints with an era included. */
const BEFORE_ZONES_MS = Date.UTC(1800, 0, 1);
const CACHE_LIMIT = 20_000;
const ZONE_LIMIT = 1_000;

interface ZoneClock {
  readonly format: Intl.DateTimeFormat;
  /** UTC day number -> the offset that holds all day, or NaN where the clocks change within it. */
  readonly steadyOffsets: Map<number, number>;
  /** Local day number -> first instant of that day, for the days near a change of the clocks. */
  readonly starts: Map<number, number>;
}

const zoneClocks = new Map<string, ZoneClock>();

function clockOf(zone: string): ZoneClock {
  const known = zoneClocks.get(zone);
  if (known !== undefined) return known;
  const format = new Intl.DateTimeFormat("en-US", {
    timeZone: zone,
    calendar: "gregory",
    numberingSystem: "latn",
    hourCycle: "h23",
    year: "numeric",
    month: "numeric",
    day: "numeric",
    hour: "numeric",
    minute: "numeric",
    second: "numeric",
  });
  const clock: ZoneClock = { format, steadyOffsets: new Map(), starts: new Map() };
  remember(zoneClocks, zone, clock, ZONE_LIMIT);
  return clock;
}

/** How far the wall clock is ahead of UTC at this instant, in milliseconds. */
function offsetAt(clock: ZoneClock, instantMs: number): number {
  const wholeSecond = Math.floor(Math.max(instantMs, BEFORE_ZONES_MS) / 1000) * 1000;
  let year = 0;
  let month = 1;
  let day = 1;
  let hour = 0;
  let minute = 0;
  let second = 0;
  for (const part of clock.format.formatToParts(wholeSecond)) {
    if (part.type === "year") year = Number(part.value);
    else if (part.type === "month") month = Number(part.value);
    else if (part.type === "day") day = Number(part.value);
    else if (part.type === "hour") hour = Number(part.value);
    else if (part.type === "minute") minute = Number(part.value);
    else if (part.type === "second") second = Number(part.value);
  }
  return Date.UTC(year, month - 1, day, hour, minute, second) - wholeSecond;
}

/** The offset that holds from the first to the last millisecond of a UTC day; NaN where it changes in between. */
function steadyOffset(clock: ZoneClock, utcDay: number): number {
  const known = clock.steadyOffsets.get(utcDay);
  if (known !== undefined) return known;
  const first = offsetAt(clock, utcDay * DAY_MS);
  const offset = first === offsetAt(clock, (utcDay + 1) * DAY_MS - 1) ? first : Number.NaN;
  remember(clock.steadyOffsets, utcDay, offset, CACHE_LIMIT);
  return offset;
}

/** A firm deals with few days, which are asked for again and again. */
const dayNumbers = new Map<string, number>();
const dayTexts = new Map<number, string>();

const dayPattern = /^(\d{4})-(\d{2})-(\d{2})$/;

/** Days since 1970-01-01. Throws a RangeError for what is not a day of the calendar. */
function dayNumber(day: string): number {
  const known = dayNumbers.get(day);
  if (known !== undefined) return known;
  const parts = dayPattern.exec(day);
  if (parts !== null) {
    const date = new Date(0);
    date.setUTCFullYear(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3]));
    const number = date.getTime() / DAY_MS;
    if (dayText(number) === day) {
      remember(dayNumbers, day, number, CACHE_LIMIT);
      return number;
    }
  }
  throw new RangeError(`not a calendar day: ${day.slice(0, 20)}`);
}

function dayText(number: number): string {
  const known = dayTexts.get(number);
  if (known !== undefined) return known;
  const text = new Date(number * DAY_MS).toISOString();
  if (text.length !== 24) throw new RangeError("a day lies in the years 0000 to 9999");
  const day = text.slice(0, 10);
  remember(dayTexts, number, day, CACHE_LIMIT);
  return day;
}

/**
 * The day that a wall calendar in `zone` shows at `instant` (a Date, or milliseconds since 1970 in UTC).
 * Throws a RangeError for an invalid instant or an unknown zone.
 */
export function localDay(instant: Date | number, zone: string): string {
  const instantMs = Number(instant);
  if (!Number.isFinite(instantMs)) throw new RangeError("not an instant");
  const clock = clockOf(zone);
  const steady = steadyOffset(clock, Math.floor(instantMs / DAY_MS));
  const offset = Number.isNaN(steady) ? offsetAt(clock, instantMs) : steady;
  return dayText(Math.floor((instantMs + offset) / DAY_MS));
}

/**
 * The first instant at which the calendar in `zone` shows `day` (or a later day, where the zone left it out).
 * That is not always 00:00: some zones have put the clock forward at midnight.
 * Throws a RangeError for what is not a day, and for an unknown zone.
 */
export function startOfDay(day: string, zone: string): Date {
  return new Date(startMs(dayNumber(day), clockOf(zone)));
}

/** The instant at which `day` is over in `zone`: the first of the next day, itself no longer part of `day`. */
export function endOfDay(day: string, zone: string): Date {
  return new Date(startMs(dayNumber(day) + 1, clockOf(zone)));
}

function startMs(day: number, clock: ZoneClock): number {
  const midnight = day * DAY_MS;
  const offset = steadyOffset(clock, day);
  if (!Number.isNaN(offset)) {
    const start = midnight - offset;
    const utcDay = Math.floor(start / DAY_MS);
    // The day before as well: a clock put back shortly before could have shown this day already.
    if (steadyOffset(clock, utcDay) === offset && steadyOffset(clock, utcDay - 1) === offset) return start;
  }
  const known = clock.starts.get(day);
  if (known !== undefined) return known;
  const found = searchStart(midnight, clock);
  remember(clock.starts, day, found, CACHE_LIMIT);
  return found;
}

/** First instant whose wall clock reads `midnight` (as if it were UTC) or later: walks the stretches of equal offset. */
function searchStart(midnight: number, clock: ZoneClock): number {
  let from = midnight - WIDEST_OFFSET_MS;
  const last = midnight + WIDEST_OFFSET_MS;
  while (from <= last) {
    const offset = offsetAt(clock, from);
    const until = stretchEnd(clock, from, offset, last + HOUR_MS);
    const start = Math.max(from, midnight - offset);
    if (start < until) return start;
    from = until;
  }
  throw new RangeError("no such day in this zone");
}

/** The first instant after `from` at which the offset is another one, or `limit`. */
function stretchEnd(clock: ZoneClock, from: number, offset: number, limit: number): number {
  let low = from;
  while (low < limit) {
    let high = low + HOUR_MS;
    if (offsetAt(clock, high) !== offset) {
      while (high - low > 1) {
        const middle = Math.floor((low + high) / 2);
        if (offsetAt(clock, middle) === offset) low = middle;
        else high = middle;
      }
      return high;
    }
    low = high;
  }
  return limit;
}

/** `day` moved by whole calendar days (negative: back). Throws a RangeError outside the years 0000 to 9999. */
export function addDays(day: string, days: number): string {
  if (!Number.isInteger(days)) throw new RangeError("days are whole");
  return dayText(dayNumber(day) + days);
}

/** The last day of the month that lies `months` after (negative: before) that of `day`. */
export function lastDayOfMonth(day: string, months = 0): string {
  const date = new Date(dayNumber(day) * DAY_MS);
  date.setUTCMonth(date.getUTCMonth() + months + 1, 0);
  return dayText(date.getTime() / DAY_MS);
}

/** Calendar days from `from` to `to`; negative where `to` is earlier. */
export function daysBetween(from: string, to: string): number {
  return dayNumber(to) - dayNumber(from);
}

/** A week of ISO 8601-1:2019: it starts on Monday, and week 1 holds the year's first Thursday. */
export interface IsoWeek {
  /** The week's year, which around New Year may differ from the day's. */
  readonly year: number;
  /** 1 to 53 */
  readonly week: number;
}

/** The ISO week of a day, with its weekday (1 Monday to 7 Sunday). */
export function isoWeek(day: string): IsoWeek & { readonly weekday: number } {
  const number = dayNumber(day);
  // 1970-01-01 was a Thursday.
  const weekday = ((((number + 3) % 7) + 7) % 7) + 1;
  const thursday = number - weekday + 4;
  const date = new Date(thursday * DAY_MS);
  const year = date.getUTCFullYear();
  date.setUTCMonth(0, 1);
  return { year, week: Math.floor((thursday - date.getTime() / DAY_MS) / 7) + 1, weekday };
}

/** `2026-W53`, as ISO 8601 writes a week. */
export function formatIsoWeek(week: IsoWeek): string {
  return `${String(week.year).padStart(4, "0")}-W${String(week.week).padStart(2, "0")}`;
}

/**
 * Whether this names the zone of a place (`Europe/London`) or UTC. Bare offsets and the fixed `Etc/` zones are refused: they do not
 * change with the clocks, so a depot would be an hour out all summer.
 */
export function isTimeZone(name: string): boolean {
  if (name === "UTC") return true;
  if (!/^(?!Etc\/)[A-Za-z][\w+-]*(\/[A-Za-z][\w+-]*){1,2}$/.test(name) || name.length > 64) return false;
  try {
    clockOf(name);
    return true;
  } catch {
    return false;
  }
}
