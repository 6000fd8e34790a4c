import { z } from "zod";
import type { HistoryEntry, historyQuerySchema } from "../../shared/contracts/fleet.ts";
import type { SecretBeside } from "../../shared/contracts/people.ts";
import { isSigned } from "../../shared/rules/secret.ts";
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { inShort } from "../ledger/index.ts";
import { besideAct, type NamedPerson, namesOf, secretsSetBefore } from "../people/index.ts";
import { cursorFrom, pageFrom } from "../platform/index.ts";
import { momentAsked } from "../readiness/index.ts";
import { calledIn } from "./called-store.ts";
import { entriesBefore, type HistoryRow } from "./store.ts";

const placeSchema = z.tuple([z.string().regex(/^\d{1,9}$/)]);

/** Everything that had happened to a machine by a moment (now without one), newest first, in the words of a language. Throws `not-valid`. */
export async function machineHistory(
  context: AppContext,
  machineId: string,
  { limit, cursor, at, lang }: z.infer<typeof historyQuerySchema>,
) {
  const before = cursorFrom(cursor, placeSchema)?.[0];
  const moment = momentAsked(context.clock.now(), at);
  const rows = await entriesBefore(context.db, machineId, before === undefined ? null : Number(before), limit + 1, moment);
  const [names, secrets, called] = await Promise.all([
    namesOf(
      context.db,
      rows.flatMap(({ staffId }) => staffId ?? []),
    ),
    secretsSetBefore(
      context.db,
      rows.filter(({ kind }) => isSigned(kind)),
    ),
    calledIn(context.db, idsNamed(rows)),
  ]);
  return pageFrom(
    rows,
    limit,
    (row) => [String(row.position)],
    ({ version, ...row }) => ({
      ...historyEntry(row, row.staffId === null ? undefined : names.get(row.staffId)),
      ...{ sentence: word(`entry.${row.kind}`, lang), what: inShort({ ...row, version }, called, lang) },
      ...besideAct(secrets.get(row.id)),
    }),
  );
}

const uuid = /"([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})"/g;

/** All ids that entries name, of whatever they are. */
const idsNamed = (rows: readonly HistoryRow[]): string[] => [
  ...new Set(rows.flatMap(({ data }) => [...JSON.stringify(data).matchAll(uuid)].map(([, id = ""]) => id))),
];

type Told = "sentence" | "what" | keyof SecretBeside;
const historyEntry = (row: Omit<HistoryRow, "version">, person: NamedPerson | undefined): Omit<HistoryEntry, Told> => ({
  ...row,
  staffNumber: person?.staffNumber ?? null,
  staffName: person?.name ?? null,
  performedAt: row.performedAt.toISOString(),
  recordedAt: row.recordedAt.toISOString(),
});
