import type { CourseRefusal } from "../../shared/rules/course.ts";
import { catalogue, type ProblemError } from "../platform/index.ts";

export const defectErrors = catalogue({
  "defect-closed": {
    status: 409,
    title: "The defect is closed",
    help: "A closed defect takes no further step. If the fault is there again, report it: it is marked as recurring.",
  },
  "repair-missing": {
    status: 409,
    title: "No repair is recorded since the defect was last seen",
    help: "A sign-off states that a repair holds. Record the repair first, or record that no fault was found.",
  },
  "already-repaired": {
    status: 409,
    title: "The defect is repaired and waits for its sign-off",
    help: "A repair is recorded, so the defect is signed off or seen again. It is not put off, does not wait for a part and cannot go away as not found.",
  },
  "same-category": {
    status: 409,
    title: "The defect has this category already",
    help: "The defect has this category. Nothing needs to be done.",
  },
  "only-minor-deferred": {
    status: 409,
    title: "Only a minor defect can be put off",
    help: "What grounds a machine is put right and signed off before it rides; it cannot be put off.",
  },
  "competence-missing": {
    status: 403,
    title: "Your competences do not cover this",
    help: "This takes a competence that is not on your file. Ask a mechanic who holds it, or the manager if the file is wrong.",
  },
  "second-person-needed": {
    status: 403,
    title: "Somebody else has to sign this off",
    help: "At steering, wheels and brakes whoever did the work does not release it. Ask a second mechanic to look and sign.",
  },
  "new-part-needed": {
    status: 422,
    title: "Only a new part repairs this",
    help: "This fault is repaired by a new part only. Fit it and name it in the repair.",
  },
  "reading-missing": {
    status: 422,
    title: "A reading after the repair is needed",
    help: "This item is measured. Take a reading after the repair and send it along.",
  },
  "reading-outside": {
    status: 422,
    title: "The reading is outside its limits",
    help: "The reading after the repair lies outside its limits, so the defect is still there. Put it right and measure again.",
  },
  "deferral-too-long": {
    status: 422,
    title: "That day is past the limit",
    help: "A minor defect may wait for some days only, and never past the next inspection. Choose an earlier day.",
  },
  "deferral-too-early": {
    status: 422,
    title: "That day is over",
    help: "The day named is over. Choose today or a later one.",
  },
  "waited-already": {
    status: 409,
    title: "The defect was let wait for a part already",
    help: "A defect waits for a part once, and is not put off besides. When the part is there, record the repair; what is new goes in a note.",
  },
  "wait-too-long": {
    status: 422,
    title: "That day is too far off",
    help: "A part for which a defect waits is expected within the policy's days. Where it takes longer, the machine stays off the road.",
  },
  "part-day-over": {
    status: 422,
    title: "The day on which the part was expected is over",
    help: "The day named is over. Give the day on which the part is expected now: today or a later one.",
  },
  "campaign-decides": {
    status: 409,
    title: "The campaign gives this defect its weight and its last day",
    help: "A campaign's job is neither put off nor weighed anew. Do it and record the repair, or look and record that nothing was found.",
  },
  "wait-past-campaign": {
    status: 422,
    title: "That day is past the campaign's last day",
    help: "A campaign's job waits for a part until the campaign's last day and no longer. Where the part comes later, the machine stands still after that day.",
  },
  "already-away": {
    status: 409,
    title: "The machine is at another workshop already",
    help: "It is away, and can be at one workshop at a time. Take it back first, then send it out again.",
  },
  "not-away": {
    status: 409,
    title: "The machine is back from there already",
    help: "Somebody took it back before you. What was done there and is missing goes in a note on the defect, or in a correction.",
  },
  "back-before-it-left": {
    status: 422,
    title: "It is expected back before it left",
    help: "Check both days: the one on which it left, and the one on which it is expected back.",
  },
  "not-a-test-paper": {
    status: 422,
    title: "This is no roadworthiness test of the machine",
    help: "An examiner's advisory belongs to the paper of a roadworthiness test. Record that paper first, then what the examiner advised on it.",
  },
  "about-the-rider": {
    status: 422,
    title: "This is about the rider, not the machine",
    help: "What a rider wears stops that rider and not the machine. Say it in the rider's own check.",
  },
});

const details: Readonly<Record<CourseRefusal, string>> = {
  "defect-closed": "It was signed off or not found before. If it is there again, report it again.",
  "repair-missing": "Record the repair first. A repair made before the defect was seen again does not count.",
  "already-repaired": "Sign the repair off instead.",
  "same-category": "Nothing would change.",
  "only-minor-deferred": "A major or dangerous defect grounds the machine until it is signed off, and an advisory has no last day.",
  "competence-missing": "Ask a mechanic who holds the competence of this item.",
  "second-person-needed":
    "What grounds at steering, wheels or brakes is released by somebody other than the one who repaired it, or who looked first.",
  "new-part-needed": "This is not repaired by anything but a new part: name it under parts.",
  "reading-missing": "This item is judged by a reading: send the one taken after the work.",
  "reading-outside": "The machine stays as it is. Put it right and measure again.",
  "deferral-too-long": "A minor defect can be ridden for the policy's days, and never past the next weekly inspection.",
  "deferral-too-early": "Choose today or a later day.",
  "waited-already":
    "When the part is there, record the repair. If it will not come in time, the defect grounds the machine after that day.",
  "wait-too-long": "Choose a day within the policy's days from today.",
  "part-day-over": "Choose today or a later day.",
  "campaign-decides": "It is a campaign's job: do it, or record that nothing was found.",
  "wait-past-campaign": "Choose a day up to the campaign's last day.",
};

/** The problem for a refusal of the course. */
export const refusal = (code: CourseRefusal): ProblemError => defectErrors.problem(code, details[code]);
