// Every sheet that was ever used. A record names the version it was made on, and must stay readable for ever: so before an item changes
// its meaning, copy today's lists into a folder named after their version, leave its words in place, and add the new version here.
import { dailyItems } from "./daily.ts";
import type { Item, SheetKind } from "./types.ts";
import { weeklyItems } from "./weekly.ts";

type Sheets = Readonly<Record<SheetKind, readonly Item[]>>;

const sheetsByVersion = {
  "2026-11": { daily: dailyItems, weekly: weeklyItems },
} as const satisfies Record<string, Sheets>;

/** The version that new sheets are made on. */
export const SHEET_VERSION: keyof typeof sheetsByVersion = "2026-11";

/** All versions that a record may name, oldest first. */
export const knownSheetVersions: readonly string[] = Object.keys(sheetsByVersion).sort();

/** The sheets of a version; undefined for one that never was. */
export const sheetsOf = (version: string): Sheets | undefined =>
  Object.hasOwn(sheetsByVersion, version) ? sheetsByVersion[version as keyof typeof sheetsByVersion] : undefined;
