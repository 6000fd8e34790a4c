// The keys that sign access tokens and statements about records: given by the environment, or made once and kept in the data folder.
import { join } from "node:path";
import {
  type CryptoKey,
  calculateJwkThumbprint,
  createLocalJWKSet,
  exportJWK,
  generateKeyPair,
  importJWK,
  type JWTVerifyGetKey,
} from "jose";
import { z } from "zod";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { type Config, readIfThere, writeOnce } from "../platform/index.ts";

/** The one algorithm that is signed with and believed (RFC 8725 3.1: an allow list, never what the token asks for). */
export const signatureAlgorithm = "ES256";

/** The private half of a key, with the id that follows from it. */
export interface SigningKey {
  readonly kid: string;
  readonly key: CryptoKey;
  /** from then on it signs; it is published before, so that every process knows it by then; null: it signs at once */
  readonly signsFrom: Date | null;
  /** from then on it signs nothing and its tokens are refused; null: it is in use */
  readonly believedUntil: Date | null;
}

export interface KeySet {
  /** the key that signs at a moment: of those in use the one that began last */
  signingAt(now: Date): SigningKey;
  /** the keys that still count at a moment, the signing one first */
  heldAt(now: Date): readonly SigningKey[];
  /** all keys, public members only, the first of the set first */
  readonly publicSet: PublicKeySet;
  /** finds the public key for a token's header among those that are not over at a moment */
  findAt(now: Date): JWTVerifyGetKey;
}

const coordinate = z.string().regex(/^[A-Za-z0-9_-]{43}$/);
/** The public half, as its id is computed from it (RFC 7638). */
export const pointSchema = z.object({ kty: z.literal("EC"), crv: z.literal("P-256"), x: coordinate, y: coordinate });
const momentSchema = z.iso.datetime({ offset: true });
/** A private key with its time: members of our own beside those of RFC 7517. */
const privateKeySchema = pointSchema.extend({ d: coordinate, signsFrom: momentSchema.optional(), believedUntil: momentSchema.optional() });
export type PrivateKey = z.infer<typeof privateKeySchema>;
const privateSetSchema = z
  .object({ keys: z.array(privateKeySchema).min(1) })
  .refine(({ keys }) => keys.some(({ believedUntil }) => believedUntil === undefined));

/**
 * Reads a JWK set with private P-256 keys, each with the times from which it signs and until which it is trusted; at least one has no end.
 * Without such times the first signs and all verify. The errors it throws never repeat its input, which holds private keys.
 */
export async function readKeys(json: string, whence: string): Promise<KeySet> {
  const keys = parseKeys(json, whence);
  const members = await Promise.all(
    keys.map(async ({ d, signsFrom, believedUntil, ...point }) => {
      // RFC 7638: the id follows from the key itself, so that two processes name it alike.
      const kid = await calculateJwkThumbprint(point);
      const key = (await importJWK({ ...point, d }, signatureAlgorithm)) as CryptoKey;
      const times = { signsFrom: dateOf(signsFrom), believedUntil: dateOf(believedUntil) };
      return { signing: { kid, key, ...times }, open: { ...point, kid, alg: signatureAlgorithm, use: "sig" } as const };
    }),
  );
  const publicSet: PublicKeySet = { keys: members.map((member) => member.open) };
  const began = ({ signsFrom }: SigningKey): number => signsFrom?.getTime() ?? 0;
  const heldAt = (now: Date): SigningKey[] =>
    members
      .map(({ signing }) => signing)
      .filter(({ believedUntil }) => believedUntil === null || now < believedUntil)
      // Keys that do not sign yet come last; of the others the one that began latest comes first, or in a set without times the first.
      .sort((one, other) => Number(began(one) > now.getTime()) - Number(began(other) > now.getTime()) || began(other) - began(one));
  const sets = new Map<string, JWTVerifyGetKey>();
  return {
    signingAt: (now) => {
      const [signing] = heldAt(now);
      if (!signing) throw unusable(whence);
      return signing;
    },
    heldAt,
    publicSet,
    findAt: (now) => {
      const kids = heldAt(now).map(({ kid }) => kid);
      const name = kids.join();
      const set = sets.get(name) ?? createLocalJWKSet({ keys: publicSet.keys.filter(({ kid }) => kids.includes(kid)) });
      sets.set(name, set);
      return set;
    },
  };
}

const dateOf = (moment: string | undefined): Date | null => (moment === undefined ? null : new Date(moment));

const unusable = (whence: string): Error => new Error(`${whence} is not a JWK set with private EC keys on the curve P-256.`);

/** The keys of a set, as they stand in it. Throws without repeating what it was given. */
export function parseKeys(json: string, whence: string): PrivateKey[] {
  try {
    return privateSetSchema.parse(JSON.parse(json)).keys;
  } catch {
    throw unusable(whence);
  }
}

/** A new JWK set with one private key, as JSON. */
export async function makeKeys(): Promise<string> {
  const pair = await generateKeyPair(signatureAlgorithm, { extractable: true });
  return JSON.stringify({ keys: [await exportJWK(pair.privateKey)] });
}

export const keysFileOf = (config: Pick<Config, "dataFolder">): string => join(config.dataFolder, "keys.json");

/** The keys that the environment gives, else those in the data folder; null where there are none. */
export async function findKeys(config: Pick<Config, "keys" | "dataFolder">): Promise<KeySet | null> {
  if (config.keys !== null) return readKeys(config.keys, "FERRULE_KEYS");
  const kept = await readIfThere(keysFileOf(config));
  return kept === null ? null : readKeys(kept, keysFileOf(config));
}

/** The keys of this installation; makes `keys.json` in the data folder where there are none. */
export async function openKeys(config: Pick<Config, "keys" | "dataFolder">): Promise<KeySet> {
  const found = await findKeys(config);
  if (found !== null) return found;
  await writeOnce(keysFileOf(config), await makeKeys());
  return openKeys(config);
}
