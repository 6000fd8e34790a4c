// The outside witness: an authority that confirms that a checkpoint existed before a moment (RFC 3161).
import type { Certificate } from "pkijs";
import type { ServiceContext } from "../platform/index.ts";
import { askAuthority, mostMsToAnswer } from "./ask-authority.ts";
import { readAuthorities } from "./authorities.ts";
import { NotWitnessed } from "./refused.ts";
import { insertTimeStamp, type Unwitnessed } from "./store.ts";
import { readAnswer, stampRequest } from "./time-stamp.ts";

/** A time-stamp further from our clock than this is refused (common practice, no source). */
export const mostMinutesApart = 5;

export interface Witness {
  /** for the log */
  readonly host: string;
  /** Requests a time-stamp for one checkpoint and stores it. Throws `NotWitnessed` if it is not valid. */
  see(checkpoint: Unwitnessed, stopped?: AbortSignal): Promise<{ readonly at: Date; readonly authority: string }>;
}

/** The witness that the settings name; null where they name none. Throws one sentence where its authorities cannot be read. */
export async function openWitness(context: ServiceContext, mostMs = mostMsToAnswer): Promise<Witness | null> {
  const { witness } = context.config;
  if (witness === null) return null;
  const authorities = witness.authorities === null ? null : await readAuthorities(witness.authorities);
  return {
    host: witness.host,
    see: async (checkpoint, stopped) => {
      const of = Buffer.from(checkpoint.jws, "ascii");
      const nonce = BigInt(`0x${context.newSalt().slice(0, 16)}`);
      const answer = await askAuthority(witness, stampRequest(of, nonce), { mostMs, stopped });
      return keep(context, checkpoint, await readAnswer(answer, { of, nonce }, authorities), authorities);
    },
  };
}

async function keep(
  { clock, db }: ServiceContext,
  { number, takenAt }: Unwitnessed,
  { token, stamp }: Awaited<ReturnType<typeof readAnswer>>,
  authorities: readonly Certificate[] | null,
): Promise<{ at: Date; authority: string }> {
  const { at, authority, accuracyMs } = stamp;
  const now = clock.now();
  const mostMs = mostMinutesApart * 60_000 + accuracyMs;
  const said = at.toISOString();
  if (Math.abs(at.getTime() - now.getTime()) > mostMs) throw new NotWitnessed("time", { said, minutes: mostMinutesApart });
  if (isEarly(at, takenAt, accuracyMs)) throw new NotWitnessed("early", { said });
  await insertTimeStamp(db, { number, token, stampedAt: at, authority, isBelieved: authorities !== null, receivedAt: now });
  return { at, authority };
}

/** Whether a time-stamp says a moment at which its checkpoint had not been taken yet: then one of the two clocks was wrong. */
export const isEarly = (at: Date, takenAt: Date, accuracyMs: number): boolean =>
  takenAt.getTime() - at.getTime() > mostMinutesApart * 60_000 + accuracyMs;
