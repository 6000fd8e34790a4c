// The SQL that writes what was rebuilt from the records.
import { z } from "zod";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { command, type Database, statement } from "../platform/index.ts";
import type { KeptState } from "./fold.ts";

export interface RebuiltState {
  readonly machineId: string;
  /** how many records it was rebuilt from */
  readonly recordCount: number;
  readonly state: MachineState;
  readonly openGrounding: number;
}

const replacedRows = statement(
  { id: z.guid() },
  `UPDATE machine SET state = $3::text::jsonb, open_grounding = $4::int
   WHERE id = $1::text::uuid AND record_count = $2::int RETURNING id`,
);

/** Replaces the machine's state, unless something was recorded since; whether it did. */
export async function replaceState(db: Database, { machineId, recordCount, state, openGrounding }: RebuiltState): Promise<boolean> {
  const rows = await db.rows(replacedRows, [machineId, recordCount, JSON.stringify(state), openGrounding]);
  return rows.length > 0;
}

// PostgreSQL's code for what a role may not do.
const forbidden = "42501";

const opensHistory = command('ALTER TABLE "machine_state_history" DISABLE TRIGGER "machine_state_history_is_append_only"');
const replacesHistory = command(
  `UPDATE machine_state_history h SET state = r.state FROM jsonb_to_recordset($2::text::jsonb) AS r (position int, state jsonb)
   WHERE h.machine_id = $1::text::uuid AND h.position = r.position`,
);
const closesHistory = command('ALTER TABLE "machine_state_history" ENABLE TRIGGER "machine_state_history_is_append_only"');

/**
 * Replaces states of the history, which nothing else may change: its trigger is off for this one transaction, and only the owner of the
 * table can do that. Null where it was done, else why it was not.
 */
export async function replaceHistory(db: Database, machineId: string, places: readonly KeptState[]): Promise<string | null> {
  try {
    await db.prisma.$transaction(async (tx) => {
      const ask = db.rowsIn(tx);
      await ask(opensHistory);
      await ask(replacesHistory, [machineId, JSON.stringify(places)]);
      await ask(closesHistory);
    });
    return null;
  } catch (error) {
    if (JSON.stringify(error, Object.getOwnPropertyNames(error)).includes(forbidden)) {
      return "only the owner of the database can change the history: run this once more as that role";
    }
    throw error;
  }
}
