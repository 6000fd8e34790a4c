// How long what a record says is kept, by its kind, and why. Its envelope and its hash stay for ever; only what it says is forgotten.
import { addDays, endOfDay, lastDayOfMonth, localDay } from "./calendar.ts";

/**
 * The months below which no firm may go: at least 15 for defect reports, rectification and inspection records (DVSA, Guide to
 * maintaining roadworthiness, 3.1 and 4.x).
 */
export const leastMonths = 15;
/** Nobody has given a reason to keep checks for longer than ten years: common practice, no source. */
export const mostMonths = 120;

/**
 * `dated`: forgotten when its months are over. `while-needed`: kept as long as something that is still current cannot be read without it.
 */
interface RecordClass {
  readonly kept: "dated" | "while-needed";
  readonly kinds: readonly string[];
}

/** Every kind of record is in one class; the words `retention.<class>.reason` say why it is kept. */
export const recordClasses = {
  checks: { kept: "dated", kinds: ["daily-check", "weekly-inspection", "photo-added"] },
  defects: {
    kept: "dated",
    kinds: [
      ...["defect-raised", "defect-sighted", "defect-regraded", "defect-deferred", "defect-waiting", "defect-noted"],
      ...["defect-repaired", "defect-signed-off", "defect-not-found", "machine-fell"],
      ...["machine-sent-out", "machine-taken-back"],
    ],
  },
  allocations: { kept: "dated", kinds: ["allocation-kept"] },
  // It goes on covering machines that come later, and each of its jobs is read with it.
  campaigns: { kept: "while-needed", kinds: ["campaign-added", "campaign-ended"] },
  corrections: { kept: "dated", kinds: ["record-corrected"] },
  // Of reports, which were called papers when this name first stood in records.
  "papers-taken": { kept: "dated", kinds: ["report-taken"] },
  machines: {
    kept: "while-needed",
    kinds: [
      ...["machine-added", "machine-amended", "machine-withdrawn", "machine-returned", "machines-imported"],
      ...["machine-disposed", "machine-reinstated"],
      ...["paper-added", "paper-ended"],
    ],
  },
  firm: {
    kept: "while-needed",
    kinds: ["firm-founded", "policy-changed", "depot-added", "depot-amended", "model-added", "model-revised"],
  },
  // A repair of any age is priced by them.
  parts: { kept: "while-needed", kinds: ["part-kept", "parts-imported", "stock-recorded"] },
  people: { kept: "while-needed", kinds: ["person-added", "person-amended", "person-left", "secret-reset", "secret-changed"] },
  keeping: { kept: "while-needed", kinds: ["hold-placed", "hold-lifted", "records-forgotten", "person-forgotten"] },
} as const satisfies Record<string, RecordClass>;

export type RecordClassName = keyof typeof recordClasses;
export const recordClassNames = Object.keys(recordClasses) as RecordClassName[];

/** The kinds that are forgotten when their time is over. */
export const datedKinds: readonly string[] = Object.values(recordClasses).flatMap(({ kept, kinds }) => (kept === "dated" ? kinds : []));

/** The class of a kind; null for a kind in no class, which a test rules out. */
export const classOfKind = (kind: string): RecordClassName | null =>
  recordClassNames.find((name) => (recordClasses[name].kinds as readonly string[]).includes(kind)) ?? null;

/**
 * The last day on which a record of that day is still kept: the same day of the month so many months later, or that month's last day
 * where it has no such day (ours; the guide counts in months and does not say).
 */
export function keptThrough(day: string, months: number): string {
  const last = lastDayOfMonth(day, months);
  const sameDay = `${last.slice(0, 7)}${day.slice(7)}`;
  return sameDay < last ? sameDay : last;
}

/** The latest day whose records may be forgotten on `today`: the last one that is kept only through the day before. */
export function lastForgettableDay(today: string, months: number): string {
  let day = lastDayOfMonth(today, -months);
  // From the end of that month, or of the one before, backwards: at most two months of days.
  while (keptThrough(day, months) >= today) day = addDays(day, -1);
  return day;
}

/**
 * Up to which day, and before which instant, records may be forgotten now: the earliest by all depots' calendars, so that nothing is
 * forgotten too soon at any of them. A depot further west may keep a record for a day longer.
 */
export function forgettableBefore(
  now: Date,
  zones: readonly string[],
  months: number,
): { readonly untilDay: string; readonly before: Date } {
  const all = (zones.length > 0 ? zones : ["UTC"]).map((zone) => {
    const untilDay = lastForgettableDay(localDay(now, zone), months);
    return { untilDay, before: endOfDay(untilDay, zone) };
  });
  return all.reduce((one, other) => (other.before < one.before ? other : one));
}
