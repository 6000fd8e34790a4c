// The 24 machines. Their marks alternate letters and digits, a form that no registration office known to us uses on plates (from memory).
import type { ModelKey } from "./models.ts";
import type { DepotKey } from "./people.ts";

/** A machine's part in the story, beyond wear and chance; it decides how the board looks on the first morning. */
export type Part =
  | "fit-today"
  | "cable-frayed"
  | "waits-for-sign-off"
  | "waits-for-part"
  | "minor-overdue"
  | "inspection-overdue"
  | "papers-expired"
  | "withdrawn"
  | "withdrawn-and-back"
  | "slow-puncture"
  | "pumped-up"
  | "chain-near-its-end"
  | "indicator-again"
  | "ridden-unchecked"
  | "joins-late"
  | "late-report"
  | "fell"
  | "words-only";

export interface MachinePlan {
  readonly mark: string;
  readonly model: ModelKey;
  readonly depot: DepotKey;
  /** whose machine it is on an ordinary day; null: the spare */
  readonly rider: string | null;
  /** at the start of the story */
  readonly odometerKm: number;
  readonly kmPerDay: number;
  /** working days from today to its next inspection; several on one day crowd the workshop */
  readonly nextInspection: number;
  readonly part?: Part;
}

const machine = (
  mark: string,
  model: ModelKey,
  depot: DepotKey,
  rider: string | null,
  odometerKm: number,
  kmPerDay: number,
  nextInspection: number,
  part?: Part,
): MachinePlan => ({ mark, model, depot, rider, odometerKm, kmPerDay, nextInspection, ...(part ? { part } : {}) });

export const demoMachines: readonly MachinePlan[] = [
  machine("K4M9T2", "brandelle", "quay", "R001", 8_420, 78, 2, "fit-today"),
  machine("K4M9T3", "brandelle", "quay", "R002", 12_950, 84, 2, "cable-frayed"),
  machine("K4N1B7", "brandelle", "quay", "R003", 15_310, 90, 2, "chain-near-its-end"),
  machine("K4N1B8", "brandelle", "quay", "R004", 3_105, 72, 2, "indicator-again"),
  machine("K5P3D6", "brandelle", "quay", "R005", 22_480, 80, 2, "fell"),
  machine("K5P3D9", "brandelle", "quay", "R006", 6_640, 88, 3, "late-report"),
  machine("L2R8F1", "vastrin", "quay", "R007", 18_230, 104, 3, "inspection-overdue"),
  machine("L2R8F4", "vastrin", "quay", "R008", 9_760, 110, 4, "minor-overdue"),
  machine("L2R8F5", "vastrin", "quay", "R009", 27_300, 98, 2, "ridden-unchecked"),
  machine("L3S6G2", "vastrin", "quay", "R010", 4_015, 102, 5),
  machine("T7A2C3", "tikkerby", "quay", "R011", 5_520, 46, 1),
  machine("T7A2C5", "tikkerby", "quay", "R012", 11_090, 50, 6, "papers-expired"),
  machine("Z1E5H8", "omblique", "quay", "R013", 2_240, 64, 1),
  machine("N6W4J2", "brandelle", "yard", "R015", 10_880, 82, 1, "waits-for-sign-off"),
  machine("N6W4J3", "brandelle", "yard", "R016", 7_215, 76, 2, "waits-for-part"),
  machine("N6W4J7", "brandelle", "yard", "R017", 14_470, 86, 3, "slow-puncture"),
  machine("N8X2K1", "vastrin", "yard", "R018", 20_150, 108, 4, "words-only"),
  machine("N8X2K6", "vastrin", "yard", "R019", 13_605, 96, 5, "inspection-overdue"),
  machine("N8X2K9", "vastrin", "yard", "R020", 1_980, 100, 6, "pumped-up"),
  machine("Z3E9L4", "omblique", "yard", "R021", 6_330, 70, 1, "fit-today"),
  machine("T9B6P1", "tikkerby", "yard", "R022", 9_045, 48, 2, "withdrawn-and-back"),
  machine("T9B6P4", "tikkerby", "yard", "R023", 16_720, 44, 3, "withdrawn"),
  machine("Z3E9L7", "omblique", "yard", "R024", 3_870, 66, 4),
  machine("N8Y5M3", "vastrin", "yard", null, 35, 60, 5, "joins-late"),
];
