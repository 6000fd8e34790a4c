// Which machines to look at first, by the published weights of findings.
import type { MachineRisk } from "../../shared/contracts/insight.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import type { Period } from "../platform/index.ts";
import { findingPoints, riskScore, yearWeights } from "../statistics/index.ts";
import type { RiskRow } from "./store.ts";

const YEAR_DAYS = 365;

/** The three years up to and including a day, the latest first. */
export const yearsTo = (to: string): Period[] =>
  yearWeights.map((_, back) => ({ from: addDays(to, 1 - (back + 1) * YEAR_DAYS), to: addDays(to, -back * YEAR_DAYS) }));

/**
 * Machines with their score and its components, the highest first; machines that were never inspected have no score and come last. Every
 * finding counts, whoever made it, and is divided by the number of weekly inspections, the only ones made by somebody trained for it.
 */
export function risksOf(rows: readonly RiskRow[], years: readonly Period[]): MachineRisk["machines"] {
  const scored = rows.map(({ findings, inspections, ...machine }) => {
    const of = years.map((year, n) => {
      const found = (category: string): number =>
        (findings ?? []).reduce((sum, row) => sum + (row.n === n && row.category === category ? row.defects : 0), 0);
      const counts = { dangerous: found("dangerous"), major: found("major"), minor: found("minor"), advisory: found("advisory") };
      return {
        ...year,
        weight: yearWeights[n] ?? 0,
        ...counts,
        points: findingPoints(counts),
        inspections: (inspections ?? []).find((row) => row.n === n)?.inspections ?? 0,
      };
    });
    return { ...machine, score: riskScore(of), inspections: of.reduce((sum, year) => sum + year.inspections, 0), years: of };
  });
  const place = (score: number | null): number => score ?? -1;
  return scored.sort((one, other) => place(other.score) - place(one.score) || (one.registrationMark < other.registrationMark ? -1 : 1));
}
