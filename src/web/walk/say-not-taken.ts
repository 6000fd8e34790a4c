import type { NotTaken } from "../field/waiting-shape.ts";
import { sayRefusal } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";

const named = ["odometerKm", "note", "photoIds", "observationIds", "performedAt", "seenAt", "durationSeconds", "proof"] as const;

/** Which parts the service could not accept, by the JSON Pointers that it named. */
function sayPlaces(pointers: readonly string[]): string {
  const fields = new Set(pointers.map((pointer) => named.find((field) => pointer.split("/").includes(field)) ?? "other"));
  return [...fields].map((field) => say(`walk.refused.field.${field}`)).join(", ");
}

/** Why the service did not accept a piece, for the person who made it. */
export function sayNotTaken({ code, detail, pointers = [] }: NotTaken): string {
  switch (code) {
    case "not-valid":
      return say("walk.refused.not-valid", { what: sayPlaces(pointers.length === 0 ? [""] : pointers) });
    case "check-not-whole":
    case "id-reused":
      return say(`walk.refused.${code}`);
    default:
      return sayRefusal(code, detail);
  }
}
