// Every sheet that a record may name. Only the newest is made of code; an older one is frozen (frozen.ts), and only the service learns it
// (every-version.ts), so that no phone carries it. A version that was published never changes: tests/rules/sheet-versions.test.ts knows
// its hash. DEVELOPERS.md says how a new one is opened.
import { dailyItems } from "./daily.ts";
import type { Item, SheetKind } from "./types.ts";
import { weeklyItems } from "./weekly.ts";

export type Sheets = Readonly<Record<SheetKind, readonly Item[]>>;

/** The version that new sheets are made on. */
export const SHEET_VERSION = "2026-12";

const sheetsByVersion = new Map<string, Sheets>([[SHEET_VERSION, { daily: dailyItems, weekly: weeklyItems }]]);

/** From now on records made on that version can be judged and read. */
export const learnSheets = (version: string, sheets: Sheets): void => void sheetsByVersion.set(version, sheets);

/** Whether a record may name this version. */
export const isKnownSheet = (version: string): boolean => sheetsByVersion.has(version);

/** The sheets of a version; undefined for one that never was. */
export const sheetsOf = (version: string): Sheets | undefined => sheetsByVersion.get(version);
