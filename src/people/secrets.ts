// Secrets are kept as Argon2id hashes (RFC 9106) that carry their own parameters.
import { randomInt } from "node:crypto";
import { hash, verify } from "@node-rs/argon2";

export interface HashCost {
  readonly memoryKib: number;
  readonly passes: number;
}

/** 19 MiB, two passes, one lane: OWASP Password Storage Cheat Sheet, from memory. */
export const usualCost: HashCost = { memoryKib: 19 * 1024, passes: 2 };

// `Algorithm.Argon2id` is a const enum, which this build cannot import.
const argon2id = 2;

// Phones compose accents in different ways; the same secret must hash alike from each (NIST SP 800-63B 5.1.1.2, from memory).
const composed = (secret: string): string => secret.normalize("NFKC");

/** The hash to keep, in PHC form. */
export function hashSecret(secret: string, cost: HashCost = usualCost): Promise<string> {
  return hash(composed(secret), { algorithm: argon2id, memoryCost: cost.memoryKib, timeCost: cost.passes, parallelism: 1 });
}

/** Whether this is the secret of that hash. */
export const isSecret = (kept: string, secret: string): Promise<boolean> => verify(kept, composed(secret));

// Read from a slip of paper and typed on a phone: no capitals, and nothing that looks like something else.
const letters = "23456789abcdefghjkmnpqrstuvwxyz";

/** A one-time code: three groups of four out of 31 signs, 59 bits. */
export function makeCode(): string {
  const group = (): string => Array.from({ length: 4 }, () => letters[randomInt(letters.length)]).join("");
  return `${group()}-${group()}-${group()}`;
}
