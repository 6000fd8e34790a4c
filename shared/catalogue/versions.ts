// Every sheet that a record may name. Only the newest is built from code; an older one is a file in frozen/ that the service alone loads
// (every-version.ts), so that no phone carries it. A published version never changes: tests/rules/sheet-versions.test.ts holds its hash.
// shared/README.md says how to open a new one.
import { dailyItems } from "./daily.ts";
import type { Item, SheetKind } from "./types.ts";
import { weeklyItems } from "./weekly.ts";

export type Sheets = Readonly<Record<SheetKind, readonly Item[]>>;

/** The version that new sheets are made on. */
export const SHEET_VERSION = "2026-12";

const sheetsByVersion = new Map<string, Sheets>([[SHEET_VERSION, { daily: dailyItems, weekly: weeklyItems }]]);

/** Loads the sheets of a version, so that records made on it can be judged and read. */
export const learnSheets = (version: string, sheets: Sheets): void => void sheetsByVersion.set(version, sheets);

/** Whether a record may name this version. */
export const isKnownSheet = (version: string): boolean => sheetsByVersion.has(version);

/** The sheets of a version; undefined for an unknown one. */
export const sheetsOf = (version: string): Sheets | undefined => sheetsByVersion.get(version);
