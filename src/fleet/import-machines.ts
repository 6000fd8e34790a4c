import type { ImportReceipt } from "../../shared/contracts/fleet.ts";
import { wordCounted } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, type ProblemIssue, seesDepot } from "../platform/index.ts";
import { enterFleet } from "./enter-fleet.ts";
import { fleetErrors } from "./errors.ts";
import { type FileRow, readMachineFile } from "./machine-file.ts";
import { vinWarnings } from "./machine-summary.ts";
import { isMarkTaken, marksTaken, namesToIds } from "./store.ts";

// Thousands of rows take longer than Prisma's five seconds on a small machine.
const transactionMs = 60_000;

/** Imports a CSV file of machines, all or nothing. Throws `import-refused` with an issue for everything wrong in every row. */
export async function importMachines(context: AppContext, actor: Actor, text: string): Promise<ImportReceipt> {
  const names = await namesToIds(context.db);
  const { rows, issues } = await readMachineFile(text, { ...names, seesDepot: (depotId) => seesDepot(actor, depotId) });
  const found = [...issues, ...(await takenIssues(context, rows))];
  if (found.length > 0) throw importRefused(found);
  try {
    return await write(context, actor, rows);
  } catch (error) {
    // Somebody added one of these marks since they were looked up.
    const taken = isMarkTaken(error) ? await takenIssues(context, rows) : [];
    throw taken.length > 0 ? importRefused(taken) : error;
  }
}

async function write(context: AppContext, actor: Actor, rows: readonly FileRow[]): Promise<ImportReceipt> {
  const recordedAt = context.clock.now();
  return recording(
    context,
    async (tx) => {
      const entrants = rows.map(({ row: _row, ...entrant }) => entrant);
      const ids = await enterFleet(tx, context, actor, entrants, recordedAt);
      await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt }, [
        {
          id: context.newId(),
          kind: "machines-imported",
          performedAt: recordedAt,
          data: { imported: rows.length, machineIds: ids },
        },
      ]);
      return {
        imported: rows.length,
        rows: rows.map(({ row, registrationMark, vin }, index) => ({
          ...{ row, registrationMark, machineId: ids[index] ?? "" },
          warnings: vinWarnings(vin),
        })),
      };
    },
    { timeout: transactionMs, maxWait: transactionMs },
  );
}

async function takenIssues(context: AppContext, rows: readonly FileRow[]): Promise<ProblemIssue[]> {
  const taken = await marksTaken(
    context.db,
    rows.map(({ registrationMark }) => registrationMark),
  );
  return rows
    .filter(({ registrationMark }) => taken.has(registrationMark))
    .map(({ row }) => ({ pointer: `/rows/${row}/registrationMark`, message: "a machine with this mark is in the fleet already" }));
}

const importRefused = (issues: readonly ProblemIssue[]) =>
  fleetErrors.problem("import-refused", wordCounted("refusal.import", issues.length, "en", { count: issues.length }), { issues });
