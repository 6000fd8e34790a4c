// What a field is told that a contract refuses. A contract that has words of its own for a case keeps them.
import type { z } from "zod";
import { isWordKey, word, wordByKey } from "./speak.ts";

/** Zod's error map of the house: one short sentence that follows the field's name. */
export const sayRefusal: z.core.$ZodErrorMap = (issue) => {
  switch (issue.code) {
    case "invalid_type":
      return issue.input === undefined ? word("refusal.missing") : sayType(issue.expected);
    case "too_small":
      return sayBound(issue.origin, issue.minimum, issue.inclusive === false ? "above" : "least");
    case "too_big":
      return sayBound(issue.origin, issue.maximum, issue.inclusive === false ? "below" : "most");
    case "not_multiple_of":
      return word("refusal.number.step", "en", { step: issue.divisor });
    case "invalid_format": {
      const key = `refusal.form.${issue.format}`;
      return isWordKey(key) ? word(key) : word("refusal.form.other");
    }
    case "invalid_value":
      return sayValues(issue.values);
    case "unrecognized_keys":
      return word("refusal.unknown-fields", "en", { names: issue.keys.join(", ") });
    case "invalid_union":
      return issue.discriminator !== undefined && Array.isArray(issue.options) ? sayValues(issue.options) : word("refusal.shape");
    default:
      return word("refusal.other");
  }
};

function sayType(expected: string): string {
  const key = `refusal.type.${expected === "record" ? "object" : expected}`;
  return isWordKey(key) ? word(key) : word("refusal.other");
}

function sayBound(origin: string, bound: unknown, side: "least" | "most" | "above" | "below"): string {
  const counted = origin === "string" ? "text" : origin === "array" ? "list" : null;
  if (counted === null) return wordByKey(`refusal.number.${side}`, "en", { bound: String(bound) });
  if (side === "least" && bound === 1) return word("refusal.empty");
  return wordByKey(`refusal.${counted}.${side}`, "en", { bound: String(bound) });
}

const sayValues = (values: readonly unknown[]): string =>
  values.length === 1
    ? word("refusal.value", "en", { value: String(values[0]) })
    : word("refusal.values", "en", { values: values.map(String).join(", ") });
