import type { AppContext } from "../acts/index.ts";
import { photoStoreOf } from "./photo-store.ts";
import { findForgottenHashes } from "./store.ts";

/**
 * Takes the bytes of photos out of the store once all that the records which name them said is forgotten; how many went. What is known of
 * them stays, as the records' envelopes do. Safe to repeat: what a run cut off in the middle left is taken by the next.
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

/** What a process that was killed left half-written goes after a day; how many files. */
export const tidyPhotos = (context: AppContext): Promise<number> =>
  photoStoreOf(context).tidy(new Date(context.clock.now().getTime() - dayMs));
