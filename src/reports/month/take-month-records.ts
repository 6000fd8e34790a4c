import type { MonthRecordsQuery } from "../../../shared/contracts/records.ts";
import type { AppContext } from "../../acts/index.ts";
import { calledIn } from "../../fleet/index.ts";
import { type Kind, kinds } from "../../ledger/index.ts";
import { type Actor, platformErrors, type View } from "../../platform/index.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import { monthAsked, onlySince, sinceAsked } from "./month-scope.ts";
import { recordFile } from "./record-file.ts";
import { recordsOfMonth } from "./record-store.ts";

function kindsAsked(asked: readonly string[]): Kind[] {
  const unknown = asked.filter((kind) => !Object.hasOwn(kinds, kind));
  if (unknown.length > 0) {
    const message = `has no such kind: ${unknown.join(", ")}. There are: ${Object.keys(kinds).join(", ")}`;
    throw platformErrors.problem("not-valid", "Some of what was sent is not valid.", { issues: [{ pointer: "/query/kind", message }] });
  }
  return asked.filter((kind): kind is Kind => Object.hasOwn(kinds, kind));
}

export interface RecordsFile {
  /** in pieces, read from the store as they are asked for */
  readonly text: AsyncGenerator<string>;
  readonly fileName: string;
  readonly mediaType: string;
}

/**
 * The entries of a month, or of all time since a moment, of some kinds or one machine if that is asked, streamed through a cursor. Throws
 * `not-found`, `period-not-valid`, `not-valid` for a kind that does not exist.
 */
export async function takeMonthRecords(
  context: AppContext,
  actor: Actor,
  view: View,
  { month, since: from, kind, machineId, format }: MonthRecordsQuery,
): Promise<RecordsFile> {
  const of = kind === undefined ? null : kindsAsked(kind);
  const since = from === undefined ? null : new Date(from);
  const asked = month === undefined ? null : await monthAsked(context, view, { month });
  const { frame, spans } = asked ?? (await sinceAsked(context, view, since ?? context.clock.now()));
  const called = await calledIn(context.db, null);
  const only = { ...(from && { since: from }), ...(kind && { kinds: kind }), ...(machineId && { machineId }) };
  await recordTaken(context, actor, { paper: "month-records", depotId: view.asked ?? null, ...asked?.period, ...only });
  const scope = { spans: since === null ? spans : onlySince(spans, since) };
  return {
    text: recordFile(format, recordsOfMonth(context.db, scope, of, machineId ?? null), called, frame.language),
    fileName: fileNameOf(format, "records", frame.depotName, month ?? `since ${from?.slice(0, 10)}`),
    mediaType: format === "csv" ? "text/csv; charset=utf-8; header=present" : "application/x-ndjson; charset=utf-8",
  };
}
