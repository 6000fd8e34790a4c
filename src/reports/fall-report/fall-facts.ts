import type { Category, Standing } from "../../../shared/contracts/common.ts";
import type { Frame, MachineIdentity, Person, RecordOnReport } from "../facts.ts";
import type { PhotosOnReport } from "../photo-blocks.ts";

/** What the report of a fall takes. */
export interface FallReportFacts {
  readonly frame: Frame;
  readonly machine: MachineIdentity;
  readonly happenedAt: Date;
  readonly recordedAt: Date;
  readonly reportedBy: Person;
  /** in the report's language, or in somebody's own words; null once it was forgotten */
  readonly told: {
    readonly hit: string;
    readonly bent: readonly string[];
    readonly note: string | null;
    readonly odometerKm: number | null;
  } | null;
  /** an inspection that was on record before anybody knew of the fall, and does not count */
  readonly inspectedBetween: Date | null;
  readonly inspection: {
    readonly at: Date;
    readonly by: Person;
    /** null once it was forgotten */
    readonly found: readonly { readonly item: string; readonly seen: readonly string[]; readonly category: Category }[] | null;
  } | null;
  readonly standingNow: { readonly standing: Standing; readonly reasons: readonly string[] };
  readonly photos: PhotosOnReport;
  readonly record: RecordOnReport;
}
