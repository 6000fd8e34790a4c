// The database keeps the public half of every key that signed here: so a start with the wrong keys is noticed, and what was signed long ago
// can be verified after its private key is gone. Each new key is vouched for by one that is trusted already.
import { calculateJwkThumbprint, decodeJwt } from "jose";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import type { ServiceContext } from "../platform/index.ts";
import type { KeysContext } from "./context.ts";
import { findKeys, type KeySet, openKeys, pointSchema, signatureAlgorithm } from "./keys.ts";
import { readClaim, signBy } from "./sign.ts";
import { holdFirm, insertVoucher, lastSigner, readVouchers, type Voucher } from "./store.ts";

type PublicKey = PublicKeySet["keys"][number];

/** The key that a voucher names; null if its text is not about the key it is stored under. Does not check the signature. */
async function namedIn({ kid, jws }: Voucher): Promise<PublicKey | null> {
  try {
    const point = pointSchema.parse(decodeJwt(jws));
    return (await calculateJwkThumbprint(point)) === kid ? { ...point, kid, alg: signatureAlgorithm, use: "sig" } : null;
  } catch {
    return null;
  }
}

/** The trusted keys, and all that they and those after them vouch for. */
async function trustedFrom(trusted: readonly PublicKey[], vouchers: readonly Voucher[]): Promise<PublicKey[]> {
  const all = [...trusted];
  for (let before = -1; before !== all.length; ) {
    before = all.length;
    for (const voucher of vouchers) {
      if (all.some((key) => key.kid === voucher.kid)) continue;
      const named = await namedIn(voucher);
      const said = named && (await readClaim(all, "key", voucher.jws));
      if (named && said?.kid === voucher.vouchedBy) all.push(named);
    }
  }
  return all;
}

/** The public halves of the keys in use and of all earlier ones, those in use first. */
export async function publishedKeys({ db, keys }: Pick<KeysContext, "db" | "keys">): Promise<PublicKeySet> {
  return { keys: await trustedFrom(keys.publicSet.keys, await readVouchers(db.rows)) };
}

/**
 * The keys of this installation; made in the data folder if the database knows none yet. If it knows some and none of them is at hand, throws
 * one sentence, unless `giveUp` names the missing one. The keys at hand are then added to those that the database knows.
 */
export async function openOwnKeys(context: ServiceContext): Promise<KeySet> {
  const { config, clock, db } = context;
  const found = await findKeys(config);
  return db.prisma.$transaction(async (tx) => {
    const ask = db.rowsIn(tx);
    await holdFirm(ask);
    const vouchers = await readVouchers(ask);
    // A store from before these rows were kept knows at least which key signed its last checkpoint.
    const missed = vouchers[0]?.kid ?? (await lastSigner(ask));
    const known = new Set([...vouchers.map((voucher) => voucher.kid), ...(missed === null ? [] : [missed])]);
    const givenUp = missed !== null && config.giveUp.includes(missed);
    if (missed !== null && !givenUp && !found?.publicSet.keys.some((key) => known.has(key.kid))) {
      throw new Error(notThoseKeys(config.keys === null ? `the data folder ${config.dataFolder}` : "FERRULE_KEYS", missed));
    }
    const keys = found ?? (await openKeys(config));
    const given = givenUp ? await namedIn(vouchers[0] ?? { kid: missed, vouchedBy: missed, jws: "" }) : null;
    for (const { kid, kty, crv, x, y } of await trustedFrom([...keys.publicSet.keys, ...(given ? [given] : [])], vouchers)) {
      for (const by of keys.heldAt(clock.now())) {
        if (vouchers.some((one) => one.kid === kid && one.vouchedBy === by.kid)) continue;
        await insertVoucher(ask, { kid, vouchedBy: by.kid, jws: await signBy(by, "key", { kty, crv, x, y }) }, clock.now());
      }
    }
    return keys;
  });
}

const notThoseKeys = (whence: string, kid: string): string =>
  `The records of this database are signed with the key ${kid}, which is not in ${whence}; name the data folder or the keys that belong to it, or restore them from their backup (where they are lost for good, start once with FERRULE_GIVE_UP=${kid}: a new key signs from then on, and everybody signs in again).`;
