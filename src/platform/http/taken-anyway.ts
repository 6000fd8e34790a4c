// Accepts a body that its contract refuses if it reports a defect, before any handler is called.
import type { FastifySchemaCompiler } from "fastify";
import { validatorCompiler } from "fastify-type-provider-zod";
import type { Arrival, AsSent, Salvaged, SalvageFlag } from "../../../shared/rules/salvage.ts";
import type { ServiceContext } from "../context.ts";
import { digestOf, idOfDigest } from "../digest.ts";

/** Changes a body that the contract refuses so that it can be accepted; null if it stays refused. */
export type Salvage = (raw: unknown, arrival: Arrival) => Salvaged<object> | null;

/** What was changed in a body so that it could be accepted, for its record. */
export interface TakenAnyway {
  readonly flags: readonly SalvageFlag[];
  /** the digest of the body as it was sent, by which a repetition is recognised, and the original text of each changed part */
  readonly asSent: { readonly sha256: string; readonly parts: readonly AsSent[] };
}

const taken = new WeakMap<object, TakenAnyway>();

/** What was changed in this body; undefined if it was accepted as sent. */
export const takenAnyway = (body: unknown): TakenAnyway | undefined =>
  typeof body === "object" && body !== null ? taken.get(body) : undefined;

/** Validates like every other route, and lets `salvage` change a body that would be refused. */
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
    // Nested too deeply: the contract's refusal stands.
    if (error instanceof RangeError) return null;
    throw error;
  }
}
