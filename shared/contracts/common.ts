// Shapes that every room uses. A quantity carries its unit in its name; a day is the depot's own day.
import { z } from "zod";
import { cleanText } from "../rules/clean-text.ts";
import { sayRefusal } from "../words/say-refusal.ts";
import { languages, word } from "../words/speak.ts";

// Every contract says what it refuses in the sentences of shared/words, on the server and on the phone alike.
z.config({ localeError: sayRefusal });

/** RFC 9562 section 4: an id in capitals is the same id. The database writes it in small letters, so everything else does. */
export const idSchema = z
  .uuid()
  .toLowerCase()
  .meta({ description: "UUID; made by the client for acts from the field, UUIDv7 where the service makes it" });

/** Wide enough for what a clock without a battery says, and narrow enough for the database to hold. */
const inReach = { least: Date.UTC(1900, 0, 1), most: Date.UTC(9999, 11, 31) };
const isInReach = (text: string): boolean => Date.parse(text) >= inReach.least && Date.parse(text) <= inReach.most;
const outOfReach = "lies outside the years 1900 to 9999";

/** An instant: RFC 3339 with an offset or Z. Answers are always in UTC with milliseconds. */
export const instantSchema = z.iso
  .datetime({ offset: true })
  .refine(isInReach, outOfReach)
  .meta({ description: "RFC 3339 instant, answered in UTC with milliseconds", example: "2026-07-14T04:31:00.000Z" });

/** A calendar day `YYYY-MM-DD` in the depot's time zone. */
export const daySchema = z.iso
  .date()
  .refine(isInReach, outOfReach)
  .meta({ description: "Day in the depot's time zone", example: "2026-07-14" });

/** A month `YYYY-MM` of the depots' days. */
export const monthSchema = z
  .string()
  .regex(/^(19|[2-9]\d)\d{2}-(0[1-9]|1[0-2])$/, "is not a month YYYY-MM")
  .meta({ example: "2026-07" });

/** A language that the service speaks. */
export const languageSchema = z.enum(languages);

/** The days that a query asks about: both ends included, in the depots' time zones, either left out. */
export const periodShape = { from: daySchema.optional(), to: daySchema.optional() };
interface Asked {
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

/** A query with `periodShape`, refused where its first day is after its last. */
export const inOrder = <Query extends z.ZodType<Asked>>(query: Query): Query =>
  query.refine(({ from, to }) => from === undefined || to === undefined || from <= to, {
    path: ["from"],
    error: () => word("refusal.period-order"),
  });

/** One or more of these words in a query, separated by commas. */
export const listOf = <One extends z.ZodType<string, string>>(one: One, most = 20) =>
  z
    .string()
    .max(1000)
    .transform((text) => text.split(",").map((word) => word.trim()))
    .pipe(z.array(one).min(1).max(most));

/** Free text as people type it, cleaned of what nobody types on purpose: trimmed, not empty, without control characters other than line breaks. */
export const textSchema = (maxLength: number) => z.string().overwrite(cleanText).trim().min(1).max(maxLength);

/** The description of every contract for what is sent from the field. */
export const takenThoughNotValid =
  "A body that tells of a defect is taken even where it is not valid by this schema: what is wrong is mended, flagged in the answer, and kept as it was sent. Without a machine or a readable finding it is refused.";

export const categorySchema = z.enum(["advisory", "minor", "major", "dangerous"]).meta({
  id: "Category",
  description: "Category of deficiency, Directive 2014/45/EU Art. 7(2)",
});
export type Category = z.infer<typeof categorySchema>;

export const roleSchema = z.enum(["rider", "mechanic", "manager", "auditor"]).meta({ id: "Role" });
export type Role = z.infer<typeof roleSchema>;

export const competenceSchema = z
  .enum(["general", "brakes", "wheels-and-tyres", "steering-and-bearings", "drive", "engine", "electrics", "inspection"])
  .meta({ id: "Competence", description: "What a mechanic may sign off; `inspection`: a weekly inspection as a whole" });
export type Competence = z.infer<typeof competenceSchema>;

export const standingSchema = z
  .enum(["fit", "unchecked", "grounded", "inspection-overdue", "papers-expired", "withdrawn"])
  .meta({ id: "Standing", description: "What a machine is at a moment" });
export type Standing = z.infer<typeof standingSchema>;

/** Query part of every list. */
export const pageQuerySchema = z.strictObject({
  limit: z.coerce.number().int().min(1).max(200).default(50),
  // Holds a name of 80 characters in any script, in base64.
  cursor: z.string().max(500).optional(),
});

/** A list answer: `{items, nextCursor}`; `nextCursor` is null on the last page. */
export const pageOf = <T extends z.ZodType>(item: T) => z.object({ items: z.array(item), nextCursor: z.string().nullable() });

export const problemSchema = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.number().int(),
    detail: z.string(),
    code: z.string(),
    instance: z.string().optional(),
    requestId: z.string().optional(),
    issues: z.array(z.object({ pointer: z.string(), message: z.string() })).optional(),
  })
  .meta({ id: "Problem", description: "RFC 9457 problem details; `code` is stable" });
export type Problem = z.infer<typeof problemSchema>;
