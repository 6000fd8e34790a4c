import type { ImportReceipt } from "../../shared/contracts/fleet.ts";
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
export async function importMachines(house: AppContext, actor: Actor, text: string): Promise<ImportReceipt> {
  const names = await namesToIds(house.db);
  const { rows, issues } = await readMachineFile(text, { ...names, seesDepot: (depotId) => seesDepot(actor, depotId) });
  const found = [...issues, ...(await takenIssues(house, rows))];
  if (found.length > 0) throw importRefused(found);
  try {
    return await write(house, actor, rows);
  } catch (error) {
    // Somebody added one of these marks since they were looked up.
    const taken = isMarkTaken(error) ? await takenIssues(house, rows) : [];
    throw taken.length > 0 ? importRefused(taken) : error;
  }
}

async function write(house: AppContext, actor: Actor, rows: readonly FileRow[]): Promise<ImportReceipt> {
  const recordedAt = house.clock.now();
  return recording(
    house,
    async (tx) => {
      const entrants = rows.map(({ row: _row, ...entrant }) => entrant);
      const ids = await enterFleet(tx, house, actor, entrants, recordedAt);
      await appendToFirm(house, tx, { staffId: actor.staffId, depotId: null, recordedAt }, [
        {
          id: house.newId(),
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

async function takenIssues(house: AppContext, rows: readonly FileRow[]): Promise<ProblemIssue[]> {
  const taken = await marksTaken(
    house.db,
    rows.map(({ registrationMark }) => registrationMark),
  );
  return rows
    .filter(({ registrationMark }) => taken.has(registrationMark))
    .map(({ row }) => ({ pointer: `/rows/${row}/registrationMark`, message: "a machine with this mark is in the fleet already" }));
}

const importRefused = (issues: readonly ProblemIssue[]) =>
  fleetErrors.problem(
    "import-refused",
    `${issues.length === 1 ? "One thing is" : `${issues.length} things are`} wrong in the file. No machine was imported.`,
    { issues },
  );
