// Replaces the signing key by a new one, which is published first and signs later, so that during a rolling restart no process meets a
// signature by a key that it does not know.
import { readFile, rename, writeFile } from "node:fs/promises";
import type { Config } from "../platform/index.ts";
import { findKeys, keysFileOf, makeKeys, type PrivateKey, parseKeys, readKeys } from "./keys.ts";

const hourMs = 3_600_000;
/** A process that was not restarted in time still signs with the old key: it is trusted for this long, which is longer than an access token lives. */
export const hoursBelievedAfter = 1;

export interface Rotated {
  /** the set to be used from now on, as JSON */
  readonly json: string;
  readonly kid: string;
  readonly signsFrom: Date;
  /** until when the old key is trusted */
  readonly believedUntil: Date;
}

/**
 * The set with a new key that signs in `hours`; the keys that sign now are trusted for an hour longer than that, expired ones are dropped.
 * Throws if a new key is waiting already.
 */
export async function rotated(json: string, now: Date, hours: number): Promise<Rotated> {
  const keys = parseKeys(json, "What is there");
  const waiting = keys.find(({ signsFrom }) => signsFrom !== undefined && new Date(signsFrom) > now);
  if (waiting?.signsFrom) throw new Error(`A new key is there already and signs from ${waiting.signsFrom}. Nothing was changed.`);
  const signsFrom = new Date(now.getTime() + hours * hourMs);
  const believedUntil = new Date(signsFrom.getTime() + hoursBelievedAfter * hourMs);
  const made = await makeKeys();
  const [fresh] = parseKeys(made, "A new key");
  const [open] = (await readKeys(made, "A new key")).publicSet.keys;
  if (!fresh || !open) throw new Error("a new set has its key");
  const kept = keys
    .filter((key) => key.believedUntil === undefined || new Date(key.believedUntil) > now)
    .map((key): PrivateKey => ({ ...key, believedUntil: key.believedUntil ?? believedUntil.toISOString() }));
  const next = { keys: [{ ...fresh, signsFrom: signsFrom.toISOString() }, ...kept] };
  return { json: JSON.stringify(next), kid: open.kid, signsFrom, believedUntil };
}

/** The same for the keys of this installation: written to the data folder, or to be put into FERRULE_KEYS where they stand there. */
export async function rotateKeys(
  config: Pick<Config, "keys" | "dataFolder">,
  now: Date,
  hours: number,
): Promise<Rotated & { readonly written: boolean }> {
  if ((await findKeys(config)) === null) throw new Error(`There are no keys in ${config.dataFolder} yet: the first start makes them.`);
  const file = keysFileOf(config);
  const next = await rotated(config.keys ?? (await readFile(file, "utf8")), now, hours);
  if (config.keys !== null) return { ...next, written: false };
  // Whole or not at all: a start reads either the old set or the new one.
  await writeFile(`${file}.new`, next.json, { mode: 0o600, flush: true });
  await rename(`${file}.new`, file);
  return { ...next, written: true };
}
