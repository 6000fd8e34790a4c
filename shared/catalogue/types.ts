// What the check sheets are made of. Texts stand in shared/words under keys made from these ids.
import type { Category, Competence } from "../contracts/common.ts";
import type { Features } from "../contracts/machine-model.ts";
import type { Quantity } from "../contracts/quantities.ts";
import type { Applies } from "./condition.ts";

export type SheetKind = "daily" | "weekly";

/** Something that can be seen at an item, with the category it has by its source. Id: `<item id>.<what is seen>`. */
export interface Observation {
  readonly id: string;
  readonly category: Category;
  /** A key of `sources.ts`: which published text gives this category, or `common-practice`. */
  readonly source: string;
  /** The only repair that may be signed off is a new part (a frayed brake cable: a new cable). */
  readonly onlyRepair?: "new-part";
  /**
   * Daily items: a rider may put it right on the spot, and then it is no defect. `measured`: only with a reading after it that is within its
   * limits. Absent: whatever was done about it, it is a defect.
   */
  readonly riderMayPutRight?: "seen" | "measured";
  /** Absent: can be seen on every machine that has the item. A cast wheel has no loose spoke; `itemsFor` leaves such ones out. */
  readonly applies?: Applies;
}

export interface Item {
  readonly id: string;
  readonly kind: SheetKind;
  readonly stationId: string;
  /** Which machines have this item. */
  readonly applies: Applies;
  readonly observations: readonly Observation[];
  /** The competence that it takes to sign this item off. */
  readonly competence: Competence;
  /** Steering, wheels, brakes: who repaired it may not sign it off (policy, on by default). */
  readonly secondPerson: boolean;
  /** A measured item: this quantity is read each week, and a sign-off needs a reading taken after the repair. */
  readonly quantity?: Quantity;
  /** The reading may be left out, on the sheet and at the sign-off: not every yard has a measured stretch for the rolling brake test. */
  readonly quantityOptional?: true;
  /** Weekly items: the daily items where the rider could have seen the same, to compare nil-defect checks with what a mechanic found. */
  readonly dailyIds?: readonly string[];
  /**
   * Weekly items: the items whose work this one finishes, and which work. Where that was done there, something has to be tightened here: a
   * wheel must not leave the bench loose. Where several items of a sheet finish the same work, the last of them on the walk is meant.
   */
  readonly finishes?: readonly Finished[];
  /** Tool ids; their names are words. */
  readonly tools?: readonly string[];
  /** Picks the `how` text where it differs between machines: words key `item.<id>.how.<variant>`; absent: `item.<id>.how`. */
  readonly howVariant?: (features: Features) => string;
}

/** Work at an item that loosened something which is tightened at a later one. */
export interface Finished {
  readonly itemId: string;
  readonly after: readonly ("adjusted" | "replaced")[];
}

/** A place on the walk round the machine. */
export interface Station {
  readonly id: string;
  readonly order: number;
}
