// A reason in the language of the page, its day as people read days.
import type { Reason } from "../../../shared/rules/standing.ts";
import { sayReason } from "../../../shared/words/say-reason.ts";
import { language, sayDay } from "./words.ts";

type Loose<Shape> = { readonly [Key in keyof Shape]?: Shape[Key] | undefined };
/** A reason as the rules give it, or as the service answers it. */
export type WhyNot = Loose<Omit<Reason, "code">> & { readonly code: string; readonly text?: string };

/** Tells one reason of a machine from its others. */
export const keyOf = ({ code, defectId, fallId, itemId, paperKind }: WhyNot): string =>
  `${code} ${defectId ?? fallId ?? itemId ?? paperKind ?? ""}`;

/** The sentence for a reason; the service's own text if facts are missing. */
export function sayWhy(reason: WhyNot): string {
  // The words that somebody wrote are only in the service's text.
  if (reason.code === "withdrawn" && reason.text !== undefined) return reason.text;
  const { text, day, expectedDay, ...facts } = reason;
  const days = {
    ...(day === undefined ? {} : { day: sayDay(day) }),
    ...(expectedDay === undefined ? {} : { expectedDay: sayDay(expectedDay) }),
  };
  try {
    return sayReason({ ...(facts as Reason), ...days }, language()).text;
  } catch {
    return text ?? reason.code;
  }
}
