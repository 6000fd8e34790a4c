// What a pack says that its ids are called, line by line.
import { z } from "zod";
import { canonicalOrNull, Fault, parsed } from "./fault.ts";

const nameSchema = z.strictObject({
  id: z.string(),
  is: z.enum(["depot", "machine", "model", "person"]),
  called: z.string(),
  number: z.string().optional(),
  forgotten: z.boolean().optional(),
});
export type Name = z.infer<typeof nameSchema>;

/** What the ids were called. */
export class NamesRead {
  readonly #names = new Map<string, Name>();

  take(line: string, number: number): void {
    const name = parsed(`names.ndjson:${number}`, nameSchema, line);
    const isWhole = (name.is === "person") === (name.number !== undefined) && (name.is === "person") === (name.forgotten !== undefined);
    if (canonicalOrNull(name) !== line || !isWhole || this.#names.has(name.id)) throw new Fault("audit.why.name-line", { number });
    this.#names.set(name.id, name);
  }

  /** Null where there is none to be called; undefined where the list lacks it. */
  of(id: string | null, is: Name["is"]): Name | null | undefined {
    if (id === null) return null;
    const name = this.#names.get(id);
    return name?.is === is ? name : undefined;
  }
}
