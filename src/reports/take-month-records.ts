import type { MonthRecordsQuery } from "../../shared/contracts/records.ts";
import type { Actor, House } from "../platform/index.ts";
import { paperLanguage } from "./gather-frame.ts";
import { monthAsked } from "./month-scope.ts";
import { recordFile } from "./record-file.ts";
import { recordsOfMonth } from "./record-store.ts";
import { recordTaken } from "./record-taken.ts";
import { fileNameOf } from "./rules.ts";
import { calledIn } from "./store.ts";

export interface RecordsFile {
  /** in pieces, read from the store as they are asked for */
  readonly text: AsyncGenerator<string>;
  readonly fileName: string;
  readonly mediaType: string;
}

/** Every entry of a month, as it comes out of a cursor. Throws `not-found`, `other-depot`, `period-not-valid`. */
export async function takeMonthRecords(house: House, actor: Actor, { month, depotId, format }: MonthRecordsQuery): Promise<RecordsFile> {
  const scope = await monthAsked(house, actor, { month, depotId });
  const called = await calledIn(house.db);
  await recordTaken(house, actor, { paper: "month-records", depotId: depotId ?? null, ...scope.period });
  return {
    text: recordFile(format, recordsOfMonth(house.db, scope), called, paperLanguage),
    fileName: fileNameOf(format, "records", scope.frame.depotName, month),
    mediaType: format === "csv" ? "text/csv; charset=utf-8; header=present" : "application/x-ndjson; charset=utf-8",
  };
}
