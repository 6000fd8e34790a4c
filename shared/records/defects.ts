// What the records say of a defect, from its raising through its course to its end.
import { z } from "zod";
import { categorySchema, competenceSchema } from "../contracts/common.ts";
import { quantitySchema } from "../contracts/quantities.ts";
import { arrival, day, fromField, idOf, instant, photos, reading, standingShape, text, texts } from "./parts.ts";

/** What one finding of an act came to. */
export const defectOutcome = z.strictObject({
  id: idOf,
  itemId: text.nullable(),
  observationIds: texts,
  category: categorySchema,
  status: z.enum(["open", "deferred", "repaired"]),
  dueDay: day.nullable(),
  /** an open defect was seen again */
  sighting: z.boolean(),
  recurringOf: idOf.nullable(),
  signedOffBetween: idOf.nullable(),
});

/** Whether a defect takes a second person; since 2026-11-29 also what the item itself asks, where category or policy changes that. */
const weight = { secondPerson: z.boolean(), secondPersonItem: z.boolean().exactOptional() };

/** Where a defect and its machine stood after an act. */
const courseOutcome = {
  defect: z.strictObject({
    id: idOf,
    status: z.enum(["open", "deferred", "repaired", "signed-off", "not-found"]),
    category: categorySchema,
    dueDay: day.nullable(),
    /** since 2026-11-29: the act was the first look of two, and the defect stays as it was */
    firstLook: z.enum(["not-found", "minor"]).exactOptional(),
  }),
  /** absent where an inspection wrote it: its own entry says how the machine stands */
  machine: z.strictObject({ id: idOf, ...standingShape }).exactOptional(),
};

const finding = z.strictObject({
  defectId: idOf,
  /** since 2026-11-30 also a campaign, whose job it then is */
  origin: z.enum(["daily-check", "weekly-inspection", "report", "campaign"]),
  originId: idOf,
  /** the campaign, where it is the job of one */
  campaign: z.strictObject({ name: text }).exactOptional(),
  note: text.nullable(),
  photoIds: z.array(idOf),
  photos,
  defect: defectOutcome,
  /** what the catalogue and the policy of that day made of it, so that the state can be rebuilt after both have changed */
  weighed: z.strictObject({ competence: competenceSchema, ...weight, quantity: quantitySchema.nullable(), onlyNewPart: z.boolean() }),
  grounded: z.boolean(),
  ...fromField,
  // These two are in the first entry of a report, the one with the id under which the report was sent.
  submitted: z
    .strictObject({
      id: idOf,
      machineId: idOf,
      seenAt: instant,
      itemId: text.optional(),
      observationIds: texts.optional(),
      note: text.optional(),
      photoIds: z.array(idOf).optional(),
      /** since 2026-11-30: the test paper on which an examiner advised it */
      paperId: idOf.optional(),
    })
    .exactOptional(),
  outcome: z.strictObject({ ...courseOutcome, flags: texts.exactOptional() }).exactOptional(),
});

export const defectRaised = finding;
export const defectSighted = finding;

const course = {
  defectId: idOf,
  outcome: z.strictObject(courseOutcome),
  /** from then on the machine may not be ridden, and every clearance ended */
  grounded: z.literal(true).exactOptional(),
  ...arrival,
};
/** The end of a course says how far back recurrence looks and, since 2026-11-29, what was seen of the defect. */
const ending = { keptSince: instant.exactOptional(), seen: texts.exactOptional() };
const sent = { id: idOf, defectId: idOf };

export const defectRegraded = z.strictObject({
  ...course,
  submitted: z.strictObject({ ...sent, category: categorySchema, reason: text }),
  /** since 2026-11-29; until then a re-grading left it as it was */
  weighed: z.strictObject(weight).exactOptional(),
});

export const defectDeferred = z.strictObject({ ...course, submitted: z.strictObject({ ...sent, untilDay: day, reason: text }) });

/** since 2026-11-30: it waits for a part */
export const defectWaiting = z.strictObject({
  ...course,
  submitted: z.strictObject({ ...sent, part: text, reason: text, expectedDay: day }),
});

/** since 2026-11-30: a note on a defect, open or closed, which changes nothing of it */
export const defectNoted = z.strictObject({ ...course, submitted: z.strictObject({ ...sent, note: text }) });

export const defectRepaired = z.strictObject({
  ...course,
  submitted: z.strictObject({
    ...sent,
    performedAt: instant,
    workDone: text,
    minutes: z.number().optional(),
    parts: z.array(z.strictObject({ name: text, quantity: z.number(), number: text.optional() })).optional(),
    reading: reading.optional(),
  }),
  /** since 2026-11-29, where an inspection wrote it: which, who did the work, and what was measured after it */
  inspection: z.strictObject({ id: idOf, staffId: idOf, actions: texts, reading: reading.nullable() }).exactOptional(),
  /** since 2026-11-30, where another workshop did it: which, and the record of the machine's return */
  outside: z.strictObject({ id: idOf, workshop: text }).exactOptional(),
});

/** since 2026-11-29, where an inspection closed it: which, and what was measured */
const byInspection = { inspection: z.strictObject({ id: idOf, reading: reading.nullable() }).exactOptional() };

export const defectSignedOff = z.strictObject({
  ...course,
  ...ending,
  submitted: z.strictObject({ ...sent, statement: text.optional(), reading: reading.optional() }),
  ...byInspection,
});

export const defectNotFound = z.strictObject({
  ...course,
  ...ending,
  submitted: z.strictObject({ ...sent, reason: text, reading: reading.optional() }),
  ...byInspection,
});
