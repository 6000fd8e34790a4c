// Secrets are kept as Argon2id hashes (RFC 9106) that carry their own parameters.
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
