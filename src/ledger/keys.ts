// The keys that sign access tokens: given by the environment, or made once and kept in the data folder.
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
}

export interface KeyRing {
  /** the first key of the set */
  readonly signing: SigningKey;
  /** all keys, the first one first */
  readonly held: readonly SigningKey[];
  /** all keys, public members only */
  readonly publicSet: PublicKeySet;
  /** finds the public key for a token's header among all keys */
  readonly find: JWTVerifyGetKey;
}

const coordinate = z.string().regex(/^[A-Za-z0-9_-]{43}$/);
/** The public half, as its id is computed from it (RFC 7638). */
export const pointSchema = z.object({ kty: z.literal("EC"), crv: z.literal("P-256"), x: coordinate, y: coordinate });
const privateSetSchema = z.object({ keys: z.array(pointSchema.extend({ d: coordinate })).min(1) });

/** Reads a JWK set with private P-256 keys: the first signs, all verify. Throws without repeating what it was given. */
export async function readKeys(json: string, whence: string): Promise<KeyRing> {
  const { keys } = parse(json, whence);
  const members = await Promise.all(
    keys.map(async ({ d, ...point }) => {
      // RFC 7638: the id follows from the key itself, so that two processes name it alike.
      const kid = await calculateJwkThumbprint(point);
      const key = (await importJWK({ ...point, d }, signatureAlgorithm)) as CryptoKey;
      return { signing: { kid, key }, open: { ...point, kid, alg: signatureAlgorithm, use: "sig" } as const };
    }),
  );
  const [first] = members;
  if (!first) throw unusable(whence);
  const publicSet: PublicKeySet = { keys: members.map((member) => member.open) };
  return {
    signing: first.signing,
    held: members.map((member) => member.signing),
    publicSet,
    find: createLocalJWKSet({ keys: [...publicSet.keys] }),
  };
}

const unusable = (whence: string): Error => new Error(`${whence} is not a JWK set with private EC keys on the curve P-256.`);

function parse(json: string, whence: string): z.infer<typeof privateSetSchema> {
  try {
    return privateSetSchema.parse(JSON.parse(json));
  } catch {
    throw unusable(whence);
  }
}

/** A new JWK set with one private key, as JSON. */
export async function makeKeys(): Promise<string> {
  const pair = await generateKeyPair(signatureAlgorithm, { extractable: true });
  return JSON.stringify({ keys: [await exportJWK(pair.privateKey)] });
}

const fileOf = (config: Pick<Config, "dataFolder">): string => join(config.dataFolder, "keys.json");

/** The keys that the environment gives, else those in the data folder; null where there are none. */
export async function findKeys(config: Pick<Config, "keys" | "dataFolder">): Promise<KeyRing | null> {
  if (config.keys !== null) return readKeys(config.keys, "FERRULE_KEYS");
  const kept = await readIfThere(fileOf(config));
  return kept === null ? null : readKeys(kept, fileOf(config));
}

/** The keys of this installation; makes `keys.json` in the data folder where there are none. */
export async function openKeys(config: Pick<Config, "keys" | "dataFolder">): Promise<KeyRing> {
  const found = await findKeys(config);
  if (found !== null) return found;
  await writeOnce(fileOf(config), await makeKeys());
  return openKeys(config);
}
