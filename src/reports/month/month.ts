// The month that a report is about.
import { addDays } from "../../../shared/rules/calendar.ts";
import { type Period, platformErrors } from "../../platform/index.ts";

/** The days of a month `YYYY-MM`, as far as it has come today. Throws `period-not-valid` for one that is still to come; `pointer`: where it was asked for. */
export function daysOfMonth(month: string, today: string, pointer = "/query/month"): Period {
  const from = `${month}-01`;
  if (from > today) {
    const message = `is still to come: today is ${today}`;
    throw platformErrors.problem("period-not-valid", `The month asked for ${message}.`, { issues: [{ pointer, message }] });
  }
  const last = lastDayOf(month);
  return { from, to: last < today ? last : today };
}

/** 31 days after the first is always in the next month. */
export const lastDayOf = (month: string): string => addDays(`${addDays(`${month}-01`, 31).slice(0, 7)}-01`, -1);

export const monthIsOver = (month: string, today: string): boolean => today.slice(0, 7) > month;
