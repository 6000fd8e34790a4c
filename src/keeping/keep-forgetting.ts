// Old records are forgotten every day, by whichever process comes first.
import type { AppContext } from "../acts/index.ts";
import { tidyPacks } from "../audit/index.ts";
import { hangWaiting, takeDownForgotten, tidyPhotos } from "../photos/index.ts";
import { patiently } from "../platform/index.ts";
import { forgetOld } from "./forget-old.ts";

const everyMs = 24 * 3_600_000;

/** Forgets what is due, with its photos, now and then every day; returns a function that stops it. */
export function keepForgetting(context: AppContext): () => Promise<void> {
  const look = (): Promise<void> =>
    patiently(() => forgetAll(context)).then(
      ({ records, photos, files }) => {
        if (records + photos > 0) context.log.info({ records, photos }, "what old records said was forgotten");
        if (files > 0) context.log.info({ files }, "old packs and unfinished files were removed");
      },
      (error: unknown) => context.log.error({ err: error }, "old records could not be forgotten"),
    );
  let underWay = look();
  const timer = setInterval(() => {
    underWay = underWay.then(look);
  }, everyMs);
  timer.unref();
  return async () => {
    clearInterval(timer);
    await underWay;
  };
}

/** First the words, since a photo's bytes are deleted only once no record says anything about them; then leftover files and unfinished work. */
async function forgetAll(context: AppContext): Promise<{ records: number; photos: number; files: number }> {
  const records = await forgetOld(context);
  const photos = await takeDownForgotten(context);
  const files = (await tidyPacks(context)) + (await tidyPhotos(context));
  await hangWaiting(context);
  return { records, photos, files };
}
