import type { CourseRefusal } from "../../shared/rules/course.ts";
import { catalogue, type ProblemError } from "../platform/index.ts";

export const defectErrors = catalogue({
  "defect-closed": { status: 409, title: "The defect is closed" },
  "repair-missing": { status: 409, title: "No repair is recorded since the defect was last seen" },
  "already-repaired": { status: 409, title: "The defect is repaired and waits for its sign-off" },
  "same-category": { status: 409, title: "The defect has this category already" },
  "only-minor-deferred": { status: 409, title: "Only a minor defect can be put off" },
  "competence-missing": { status: 403, title: "Your competences do not cover this item" },
  "second-person-needed": { status: 403, title: "Somebody else has to sign this off" },
  "new-part-needed": { status: 422, title: "Only a new part repairs this" },
  "reading-missing": { status: 422, title: "A reading after the repair is needed" },
  "reading-outside": { status: 422, title: "The reading is outside its limits" },
  "deferral-too-long": { status: 422, title: "That day is past the limit" },
  "deferral-too-early": { status: 422, title: "That day is over" },
});

const details: Readonly<Record<CourseRefusal, string>> = {
  "defect-closed": "It was signed off or not found before. If it is there again, report it anew.",
  "repair-missing": "Record the repair first. A repair made before the defect was seen again does not count.",
  "already-repaired": "Sign the repair off instead.",
  "same-category": "Nothing would change.",
  "only-minor-deferred": "A major or dangerous defect grounds the machine until it is signed off.",
  "competence-missing": "Ask a mechanic who holds the competence of this item.",
  "second-person-needed": "Steering, wheels and brakes are signed off by somebody other than the one who did the repair.",
  "new-part-needed": "This is not repaired by anything but a new part: name it under parts.",
  "reading-missing": "This item is judged by a reading: send the one taken after the work.",
  "reading-outside": "The machine stays as it is. Put it right and measure again.",
  "deferral-too-long": "A minor defect can be ridden for the policy's days, and never past the next weekly inspection.",
  "deferral-too-early": "Choose today or a later day.",
};

/** The problem for a refusal of the course. */
export const refusal = (code: CourseRefusal): ProblemError => defectErrors.problem(code, details[code]);
