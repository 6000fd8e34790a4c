import { z } from "zod";
import type { HistoryEntry } from "../../shared/contracts/fleet.ts";
import { sentenceOf } from "../ledger/index.ts";
import { type NamedPerson, namesOf } from "../people/index.ts";
import { type Actor, cursorFrom, type House, pageFrom } from "../platform/index.ts";
import { momentAsked } from "../readiness/index.ts";
import { machineInView } from "./show-machine.ts";
import { entriesBefore, type HistoryRow } from "./store.ts";

const placeSchema = z.tuple([z.string().regex(/^\d{1,9}$/)]);

/** Everything that had happened to a machine by a moment (now without one), newest first. Throws `not-found`, `other-depot`, `not-valid`. */
export async function machineHistory(
  house: House,
  actor: Actor,
  machineId: string,
  { limit, cursor, at }: { limit: number; cursor?: string | undefined; at?: string | undefined },
) {
  await machineInView(house, actor, machineId);
  const before = cursorFrom(cursor, placeSchema)?.[0];
  const moment = momentAsked(house.clock.now(), at);
  const rows = await entriesBefore(house.db, machineId, before === undefined ? null : Number(before), limit + 1, moment);
  const names = await namesOf(
    house.db,
    rows.flatMap(({ staffId }) => staffId ?? []),
  );
  return pageFrom(
    rows,
    limit,
    (row) => [String(row.position)],
    (row) => historyEntry(row, row.staffId === null ? undefined : names.get(row.staffId)),
  );
}

const historyEntry = (row: HistoryRow, person: NamedPerson | undefined): HistoryEntry => ({
  ...row,
  staffNumber: person?.staffNumber ?? null,
  staffName: person?.name ?? null,
  sentence: sentenceOf(row.kind),
  performedAt: row.performedAt.toISOString(),
  recordedAt: row.recordedAt.toISOString(),
});
