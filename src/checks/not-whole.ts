import type { InspectionIssue } from "../../shared/rules/weekly-inspection.ts";
import type { ProblemError } from "../platform/index.ts";
import { checkErrors } from "./errors.ts";

/** The problem for a check or inspection that lacks something, with every place that lacks it. */
export function notWhole(code: "check-not-whole" | "inspection-not-whole", issues: readonly InspectionIssue[]): ProblemError {
  return checkErrors.problem(code, "Put right what is listed and send it again, under the same id. Nothing was stored.", {
    issues: issues.map(placed),
  });
}

/** An issue with the place in the body that it is about. */
export function placed({ index, field, message }: { index: number | null; field?: string; message: string }) {
  if (field === "odometerKm") return { pointer: "/odometerKm", message };
  if (field === "proof") return { pointer: "/proof/value", message };
  return { pointer: index === null ? "/answers" : `/answers/${index}${field === undefined ? "" : `/${field}`}`, message };
}
