// A first start writes the demo firm's history in many transactions. If it is interrupted, half a firm must not be taken for a whole one: so
// there is a mark in the data folder from before the first record until after the last.
import { existsSync } from "node:fs";
import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";

const markIn = (folder: string): string => join(folder, "first-start.unfinished");

/** Whether a first start in this folder began and did not end. */
export const isUnfinished = (folder: string): boolean => existsSync(markIn(folder));

/** Runs a first start under the mark. */
export async function asFirstStart(folder: string, work: () => Promise<void>): Promise<void> {
  await writeFile(markIn(folder), "");
  await work();
  await rm(markIn(folder));
}

/** Removes what an interrupted first start left in the embedded store; the caller must have locked the folder. */
export async function beginAnew(folder: string, store: string): Promise<void> {
  await rm(store, { recursive: true, force: true });
  await rm(markIn(folder), { force: true });
}
