// The common shape of a verdict on a measured value.
import type { Category } from "../contracts/common.ts";
import type { FoundAndLeft, Quantity, Unit } from "../contracts/quantities.ts";

/** What kind of limit decided, its value as stated, and where it comes from. */
export interface DecidingLimit {
  readonly kind: "handbook" | "legal" | "common-practice" | "not-set";
  readonly least: number | null;
  readonly most: number | null;
  readonly unit: Unit;
  /** A key of shared/catalogue/sources.ts. */
  readonly source: string;
}

/**
 * How one value stands: `within`; `adjust` (put right now); `renew-soon`; `fails` (past a limit that no adjustment cures).
 * `offBy` says how far it lies outside `limit`, in that limit's unit (0 when within; negative: below the least).
 */
export interface ValueVerdict {
  readonly outcome: "within" | "adjust" | "renew-soon" | "fails" | "not-set";
  readonly category: Category | null;
  readonly limit: DecidingLimit;
  readonly offBy: number;
  /** The value that was compared, where it is not the reading itself: an elongation, or a pressure in the handbook's unit. */
  readonly compared?: { readonly value: number; readonly unit: Unit };
  /** A second limit that set the category, where that is not the one the value must keep (25 % under for a tyre). */
  readonly categoryBy?: DecidingLimit;
  /** What the law asks for, where the value keeps that and is past the deciding limit. */
  readonly stillKept?: DecidingLimit;
  /** The value cannot be true (a chain shorter than a new one: pitches miscounted). It proves nothing either way. */
  readonly measureAgain?: true;
}

/**
 * The verdict on a measured item. `result`: `within`; `corrected` (found outside, left within: a record, no open defect);
 * `defect` (with its category); `not-set` (no limit known). `category` is null unless `result` is `defect`.
 */
export interface ReadingVerdict {
  readonly quantity: Quantity;
  readonly reading: FoundAndLeft;
  readonly asFound: ValueVerdict;
  readonly asLeft: ValueVerdict | null;
  readonly result: "within" | "corrected" | "defect" | "not-set";
  readonly category: Category | null;
}

/** The same with the item of the sheet at which it was measured. */
export interface ItemVerdict extends ReadingVerdict {
  readonly itemId: string;
}
