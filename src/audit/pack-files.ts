// Where finished packs lie. A pack is written under another name and gets its own when it is whole, so that nobody is served half of one.
import { mkdir, open, readdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import type { Readable, Writable } from "node:stream";
import type { AppContext } from "../acts/index.ts";
import { sweep } from "../platform/index.ts";

const folderOf = (context: AppContext): string => join(context.config.dataFolder, "packs");
const fileOf = (context: AppContext, id: string): string => join(folderOf(context), `${id}.zip`);
const draftOf = (context: AppContext, id: string, worker: string): string => join(folderOf(context), `${id}.${worker}.part`);

/**
 * The file that the worker writes to. It is opened here, because a stream that opens its own file may fail before anybody listens, and an error
 * that nobody listens to ends the process.
 */
export async function openDraft(context: AppContext, id: string, worker: string): Promise<Writable> {
  await mkdir(folderOf(context), { recursive: true, mode: 0o700 });
  const handle = await open(draftOf(context, id, worker), "w", 0o600);
  return handle.createWriteStream();
}

/** Renames the draft to the finished pack, once it is flushed to the disk. */
export async function keepDraft(context: AppContext, id: string, worker: string): Promise<void> {
  const handle = await open(draftOf(context, id, worker), "r+");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
  await rename(draftOf(context, id, worker), fileOf(context, id));
}

/** Removes whatever is left of drafts of this pack. */
export async function dropDrafts(context: AppContext, id: string): Promise<void> {
  const names = await readdir(folderOf(context)).catch(() => []);
  const left = names.filter((name) => name.startsWith(`${id}.`) && name.endsWith(".part"));
  await Promise.all(left.map((name) => rm(join(folderOf(context), name), { force: true })));
}

const dayMs = 86_400_000;

/** A pack's file is kept for this many days (common practice, no source). If it is ordered again, it is made anew from the same records. */
export const packDays = 90;

/** Removes packs older than `packDays`, and drafts that no worker has touched for a day; returns how many files. */
export async function tidyPacks(context: AppContext): Promise<number> {
  const now = context.clock.now().getTime();
  const packs = await sweep(folderOf(context), ".zip", new Date(now - packDays * dayMs));
  return packs + (await sweep(folderOf(context), ".part", new Date(now - dayMs)));
}

/** A pack's open file: whoever gets it has to read it, once, or close it. */
export interface PackFile {
  readonly bytes: number;
  /** the bytes from `start` to `end`, both included; without a part, all of them */
  read(part?: { readonly start: number; readonly end: number }): Readable;
  close(): Promise<void>;
}

/** The pack's file; null if it is not in this process's data folder, or has not the length that it had. */
export async function openPack(context: AppContext, id: string, bytes: number): Promise<PackFile | null> {
  const handle = await open(fileOf(context, id), "r").catch(() => null);
  if (handle === null) return null;
  if ((await handle.stat()).size !== bytes) {
    await handle.close();
    return null;
  }
  return { bytes, read: (part = { start: 0, end: bytes - 1 }) => handle.createReadStream(part), close: () => handle.close() };
}
