import type { AppContext } from "../acts/index.ts";
import { photoStoreOf } from "./photo-store.ts";
import { findForgottenHashes } from "./store.ts";

/**
 * Deletes the bytes of photos once all records that name them are forgotten; returns how many. Their rows stay, as the records' envelopes do.
 * Safe to repeat: the next run finishes what an interrupted one left.
 */
export async function takeDownForgotten(context: AppContext): Promise<number> {
  const store = photoStoreOf(context);
  let gone = 0;
  for (const sha256 of await findForgottenHashes(context.db)) {
    // Somebody may be sending the same picture at this very moment.
    const unwanted = async () => (await findForgottenHashes(context.db, sha256)).length > 0;
    if (await store.takeAway(sha256, unwanted)) gone += 1;
  }
  return gone;
}

const dayMs = 86_400_000;

/** Deletes half-written files of a killed process after a day; returns how many. */
export const tidyPhotos = (context: AppContext): Promise<number> =>
  photoStoreOf(context).tidy(new Date(context.clock.now().getTime() - dayMs));
