// The facts for the sheets to fill in by hand and for the labels, as facts.ts has those of the other reports.
import type { SheetKind } from "../../shared/catalogue/types.ts";
import type { Category } from "../../shared/contracts/common.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import type { Frame, MachineIdentity } from "./facts.ts";

/** An item as in the answer to `checkSheet`, which can be passed on unchanged. */
export interface SheetItem {
  readonly prompt: string;
  readonly how: string;
  readonly about: "machine" | "rider";
  readonly notApplicable: boolean;
  readonly observations: readonly { readonly text: string; readonly category: Category }[];
  readonly measurement?:
    | { readonly units: readonly Unit[]; readonly limit: DecidingLimit; readonly takenAt: "inspection" | "sign-off" }
    | undefined;
  /** at an item with an interval of the handbook: what is left of it, in words */
  readonly oil?: { readonly text: string } | undefined;
}

export interface LabelsFacts {
  readonly frame: Frame;
  readonly labels: readonly { readonly registrationMark: string; readonly modelName: string; readonly depotName: string }[];
  /** where the pages are opened, as `https://host` */
  readonly origin: string;
}

export interface BlankSheetFacts {
  readonly frame: Frame;
  readonly machine: MachineIdentity;
  readonly sheet: {
    readonly kind: SheetKind;
    readonly sheetVersion: string;
    readonly tools: readonly { readonly name: string }[];
    readonly stations: readonly { readonly name: string; readonly items: readonly SheetItem[] }[];
    /** The one real value asked for each day; null on a weekly sheet. */
    readonly proof: { readonly quantity: Quantity; readonly units: readonly Unit[]; readonly method: string } | null;
  };
  /** Days within which a minor defect must be put right (policy). */
  readonly minorWithinDays: number;
}
