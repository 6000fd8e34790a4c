import type { CourseRefusal } from "../../shared/rules/course.ts";
import { catalogue, type ProblemError } from "../platform/index.ts";

export const defectErrors = catalogue({
  "defect-closed": 409,
  "repair-missing": 409,
  "already-repaired": 409,
  "same-category": 409,
  "only-minor-deferred": 409,
  "competence-missing": 403,
  "second-person-needed": 403,
  "new-part-needed": 422,
  "reading-missing": 422,
  "reading-outside": 422,
  "deferral-too-long": 422,
  "deferral-too-early": 422,
  "about-the-rider": 422,
});

const details: Readonly<Record<CourseRefusal, string>> = {
  "defect-closed": "It was signed off or not found before. If it is there again, report it anew.",
  "repair-missing": "Record the repair first. A repair made before the defect was seen again does not count.",
  "already-repaired": "Sign the repair off instead.",
  "same-category": "Nothing would change.",
  "only-minor-deferred": "A major or dangerous defect grounds the machine until it is signed off.",
  "competence-missing": "Ask a mechanic who holds the competence of this item.",
  "second-person-needed":
    "What grounds at steering, wheels or brakes is released by somebody other than the one who repaired it, or who looked first.",
  "new-part-needed": "This is not repaired by anything but a new part: name it under parts.",
  "reading-missing": "This item is judged by a reading: send the one taken after the work.",
  "reading-outside": "The machine stays as it is. Put it right and measure again.",
  "deferral-too-long": "A minor defect can be ridden for the policy's days, and never past the next weekly inspection.",
  "deferral-too-early": "Choose today or a later day.",
};

/** The problem for a refusal of the course. */
export const refusal = (code: CourseRefusal): ProblemError => defectErrors.problem(code, details[code]);
