// How a body is read as JSON. Names that could change every object of the process (prototype pollution) are refused, with their place.
import type { FastifyInstance } from "fastify";
import { word } from "../../../shared/words/index.ts";
import { platformErrors, pointerPart } from "../errors.ts";

/** Reads JSON as Fastify does, but tells a forbidden name from what is no JSON at all: `not-valid` with its place. */
export function readJsonBodies(app: FastifyInstance): void {
  const read = app.getDefaultJsonParser("error", "error");
  app.addContentTypeParser("application/json", { parseAs: "string" }, (request, body: string, done) => {
    void read(request, body, (error, value) => {
      const pointer = error ? forbiddenName(body) : null;
      if (pointer === null) return done(error, value);
      done(
        platformErrors.problem("not-valid", "The body holds a name that no field may have. Nothing was stored.", {
          issues: [{ pointer, message: word("refusal.forbidden-name") }],
        }),
      );
    });
  });
}

/** The place of the first forbidden name; null if there is none, or the text is not JSON. It does not recurse, so any depth will do. */
function forbiddenName(text: string): string | null {
  const rest: { readonly value: unknown; readonly pointer: string }[] = [];
  try {
    rest.push({ value: JSON.parse(text), pointer: "" });
  } catch {
    return null;
  }
  for (let next = rest.pop(); next; next = rest.pop()) {
    const { value, pointer } = next;
    if (value === null || typeof value !== "object") continue;
    if (Object.hasOwn(value, "__proto__")) return `${pointer}/__proto__`;
    if (reachesPrototype(value)) return `${pointer}/constructor`;
    const parts = Object.entries(value).map(([name, part]) => ({ value: part as unknown, pointer: `${pointer}/${pointerPart(name)}` }));
    for (const part of parts.reverse()) rest.push(part);
  }
  return null;
}

function reachesPrototype(value: object): boolean {
  const made: unknown = Object.hasOwn(value, "constructor") ? value.constructor : null;
  return typeof made === "object" && made !== null && Object.hasOwn(made, "prototype");
}
