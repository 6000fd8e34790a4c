// The outside witness's time-stamps of the checkpoints in a pack: written beside them, and checked offline.
import { z } from "zod";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { canonical } from "../platform/index.ts";
import { isEarly, NotWitnessed, type readAuthorities, readTimeStamps, readToken } from "../witness/index.ts";
import { canonicalOrNull, count, Fault, parsed } from "./fault.ts";

export type Authorities = Awaited<ReturnType<typeof readAuthorities>>;

export const timeStampFile = "time-stamps.ndjson";

/** A line for each of these checkpoints that a witness has seen. */
export async function timeStampLines({ db }: AppContext, checkpoints: readonly Pick<Checkpoint, "number">[]): Promise<string[]> {
  const numbers = new Set(checkpoints.map(({ number }) => number));
  const rows = numbers.size === 0 ? [] : await readTimeStamps(db, Math.min(...numbers), Math.max(...numbers));
  return rows.flatMap(({ number, token }) => (numbers.has(number) ? [`${canonical({ number, token: token.toString("base64") })}\n`] : []));
}

const lineSchema = z.strictObject({ number: count.min(1), token: z.string() });

export interface Stamped {
  /** how many of the checkpoints have one, and how many there are */
  readonly stamps: number;
  readonly checkpoints: number;
  /** as their certificates call them */
  readonly authorities: readonly string[];
  /** the moment that the time-stamp of the pack's own checkpoint says; null where it has none */
  readonly ownAt: Date | null;
  /** whether the authorities were compared with a list of trusted ones */
  readonly judged: boolean;
}

/** Reads the time-stamps of a pack and checks that each is of a checkpoint in it. */
export class TimeStamps {
  readonly #authorities: Authorities | null;
  #last = 0;
  readonly #held = new Map<number, { readonly at: Date; readonly authority: string }>();

  constructor(authorities: Authorities | null) {
    this.#authorities = authorities;
  }

  async take(line: string, at: number, checkpoints: readonly Pick<Checkpoint, "number" | "jws" | "takenAt">[]): Promise<void> {
    const name = `${timeStampFile}:${at}`;
    const read = parsed(name, lineSchema, line);
    const { number, token } = read;
    const bytes = Buffer.from(token, "base64");
    if (canonicalOrNull(read) !== line || bytes.toString("base64") !== token)
      throw new Fault("audit.why.format", { name, what: "canonical JSON" });
    const checkpoint = checkpoints.find((one) => one.number === number);
    const fault = (what: string): Fault => new Fault("audit.why.time-stamp", { number, what });
    if (!checkpoint) throw new Fault("audit.why.time-stamp.of-none", { number });
    if (this.#held.has(number)) throw new Fault("audit.why.time-stamp.twice", { number });
    if (number < this.#last) throw new Fault("audit.why.format", { name, what: "order of the numbers" });
    this.#last = number;
    try {
      const stamp = await readToken(bytes, Buffer.from(checkpoint.jws, "ascii"), this.#authorities);
      if (isEarly(stamp.at, new Date(checkpoint.takenAt), stamp.accuracyMs))
        throw new NotWitnessed("early", { said: stamp.at.toISOString() });
      this.#held.set(number, stamp);
    } catch (error) {
      throw error instanceof NotWitnessed ? fault(error.message) : error;
    }
  }

  /** `own`: the number of the pack's own checkpoint. */
  end(own: number, checkpoints: number): Stamped {
    const stamps = [...this.#held.values()];
    return {
      ...{ stamps: stamps.length, checkpoints, judged: this.#authorities !== null },
      authorities: [...new Set(stamps.map(({ authority }) => authority))].sort(),
      ownAt: this.#held.get(own)?.at ?? null,
    };
  }
}

/** The same in words, a line each. */
export function sayTimeStamps({ stamps, checkpoints, authorities, ownAt, judged }: Stamped): string[] {
  if (stamps === 0) return [word("audit.time-stamps.none", "en", { checkpoints })];
  return [
    word("audit.time-stamps", "en", { stamps, checkpoints, authorities: authorities.join("; ") }),
    ownAt === null ? word("audit.time-stamps.not-own") : word("audit.time-stamps.own", "en", { at: ownAt.toISOString() }),
    ...(judged ? [] : [word("audit.time-stamps.not-judged")]),
  ];
}
