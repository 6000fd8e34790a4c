// A body that its contract refuses, and that is taken all the same because it tells of a defect: at the door, before any handler.
import type { FastifySchemaCompiler } from "fastify";
import { validatorCompiler } from "fastify-type-provider-zod";
import type { Arrival, AsSent, Salvaged, SalvageFlag } from "../../../shared/rules/salvage.ts";
import type { ServiceContext } from "../context.ts";
import { digestOf, idOfDigest } from "../digest.ts";

/** Mends a body that the contract refuses; null where it stays refused. */
export type Salvage = (raw: unknown, arrival: Arrival) => Salvaged<object> | null;

/** What was done to a body so that it could be taken, for its record. */
export interface TakenAnyway {
  readonly flags: readonly SalvageFlag[];
  /** the digest of the body as it was sent, by which a repetition is known, and what stood where something was mended */
  readonly asSent: { readonly sha256: string; readonly parts: readonly AsSent[] };
}

const taken = new WeakMap<object, TakenAnyway>();

/** What was done to this body; undefined where it was taken as sent. */
export const takenAnyway = (body: unknown): TakenAnyway | undefined =>
  typeof body === "object" && body !== null ? taken.get(body) : undefined;

/** Checks as the service does, and lets `salvage` mend a body that would be refused. */
export const lenientValidator =
  (context: ServiceContext, salvage: Salvage): FastifySchemaCompiler<unknown> =>
  (part) => {
    const strict = validatorCompiler(part as Parameters<typeof validatorCompiler>[0]);
    if (part.httpPart !== "body") return strict;
    return (raw) => {
      const said = strict(raw) as { error?: Error; value?: unknown };
      if (said.error === undefined) return said;
      const mended = mend(context, salvage, raw);
      return mended === null ? said : { value: mended };
    };
  };

function mend(context: ServiceContext, salvage: Salvage, raw: unknown): object | null {
  try {
    const sha256 = digestOf(raw);
    const salvaged = salvage(raw, { at: context.clock.now().toISOString(), id: idOfDigest(sha256) });
    if (salvaged === null) return null;
    taken.set(salvaged.body, { flags: salvaged.flags, asSent: { sha256, parts: salvaged.asSent } });
    context.log.info({ flags: salvaged.flags }, "a body that tells of a defect was mended and taken");
    return salvaged.body;
  } catch (error) {
    // Nested deeper than anybody writes: refused as the contract says.
    if (error instanceof RangeError) return null;
    throw error;
  }
}
