import type { MachineCosts } from "../../shared/contracts/costs.ts";
import { costsOf, isAtLeast, perThousandKm } from "../../shared/rules/costs.ts";
import type { AppContext } from "../acts/index.ts";
import { readMachineEntries } from "../fleet/index.ts";
import { toldOf, workOnMachine } from "../parts/index.ts";
import { objectOf } from "../platform/index.ts";
import { priceBookFor } from "./price-book.ts";
import { kmRidden } from "./ridden.ts";
import { type MachineRow, readMachines, readOdometers, readRenewed } from "./store.ts";

/** The machine at an address: for whoever sees its depot. */
export const machine = objectOf({
  name: "machine",
  missing: "There is no machine with this id.",
  find: async ({ db }: AppContext, id) => (await readMachines(db, [id]))[0],
  depotOf: ({ depotId }: MachineRow) => depotId,
});

/** What a machine has cost since it came, wherever it was. */
export async function showMachineCosts(context: AppContext, row: MachineRow): Promise<MachineCosts> {
  const { db, clock } = context;
  const work = (await workOnMachine(db, row.id)).map(toldOf);
  const ever = { from: new Date(0), to: new Date(clock.now().getTime() + 1), depotIds: null };
  const [book, readings, entries, renewed] = await Promise.all([
    priceBookFor(context, work),
    readOdometers(db, [row.id], ever.from, ever.to),
    readMachineEntries(db, [row.id], null),
    readRenewed(db, [row.id], ever),
  ]);
  const costs = costsOf(work, book, renewed.get(row.id) ?? 0);
  const km = kmRidden(readings, entries, [{ starts: 0, ends: ever.to.getTime() }]);
  return {
    ...{ machineId: row.id, since: row.inServiceFrom, currency: book.currency },
    ...costs,
    ...{ isAtLeast: isAtLeast(costs), km: km === null ? null : Math.round(km), perThousandKmMinor: perThousandKm(costs.totalMinor, km) },
  };
}
