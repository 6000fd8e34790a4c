// The keys that sign access tokens: given by the environment, or made once and kept in the data folder.
import { randomUUID } from "node:crypto";
import { link, mkdir, open, readFile, rename, rm } from "node:fs/promises";
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
import type { Config } from "../platform/index.ts";

/** The one algorithm that is signed with and believed (RFC 8725 3.1: an allow list, never what the token asks for). */
export const signatureAlgorithm = "ES256";

export interface KeyRing {
  /** the first key of the set */
  readonly signing: { readonly kid: string; readonly key: CryptoKey };
  /** all keys, public members only */
  readonly publicSet: PublicKeySet;
  /** finds the public key for a token's header among all keys */
  readonly find: JWTVerifyGetKey;
}

const coordinate = z.string().regex(/^[A-Za-z0-9_-]{43}$/);
const privateSetSchema = z.object({
  keys: z.array(z.object({ kty: z.literal("EC"), crv: z.literal("P-256"), x: coordinate, y: coordinate, d: coordinate })).min(1),
});

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
  return { signing: first.signing, publicSet, find: createLocalJWKSet({ keys: [...publicSet.keys] }) };
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

/** The keys of this installation; makes `keys.json` in the data folder on the first start where none are given. */
export async function openKeys(config: Pick<Config, "keys" | "dataFolder">): Promise<KeyRing> {
  if (config.keys !== null) return readKeys(config.keys, "FERRULE_KEYS");
  const file = join(config.dataFolder, "keys.json");
  const kept = await readIfThere(file);
  if (kept !== null) return readKeys(kept, file);
  await keep(file, config.dataFolder, await makeKeys());
  return readKeys(await readFile(file, "utf8"), file);
}

async function readIfThere(file: string): Promise<string | null> {
  try {
    return await readFile(file, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

/** Writes the file whole or not at all; where another process was first, its keys stay. */
async function keep(file: string, folder: string, json: string): Promise<void> {
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const draft = `${file}.${randomUUID()}`;
  const handle = await open(draft, "wx", 0o600);
  try {
    await handle.writeFile(json);
    await handle.sync();
  } finally {
    await handle.close();
  }
  try {
    // A link fails where the name is taken, which a rename does not.
    await link(draft, file);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    // Some file systems know no links; there the rename has to do.
    if (code !== "EEXIST") return rename(draft, file);
  }
  await rm(draft, { force: true });
}
