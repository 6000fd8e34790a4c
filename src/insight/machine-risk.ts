import type { MachineRisk } from "../../shared/contracts/insight.ts";
import type { AppContext } from "../acts/index.ts";
import type { View } from "../platform/index.ts";
import { risksOf, yearsTo } from "./risk.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { readFindings } from "./store.ts";

/** The machines to look at first, by their findings of three years. Throws `not-found`, `period-not-valid`. */
export async function machineRisk(
  context: AppContext,
  view: View,
  { to, limit }: Pick<Asked, "to"> & { readonly limit: number },
): Promise<MachineRisk> {
  const { depotIds, frame } = await scopeOf(context, view, { to });
  const years = yearsTo(frame.to);
  const machines = risksOf(await readFindings(context.db, depotIds, years), years);
  return { depotId: frame.depotId, to: frame.to, caution: frame.caution, machines: machines.slice(0, limit) };
}
