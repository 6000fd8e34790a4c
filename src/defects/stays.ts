// The stays of a machine at other workshops, for its paper.
import { readAs } from "../../shared/records/index.ts";
import type { AppContext, Moment } from "../acts/index.ts";
import { readStays } from "./outside-store.ts";

export interface Stay {
  readonly since: Date;
  /** null once what was said was forgotten */
  readonly told: { readonly workshop: string; readonly reason: string; readonly expectedDay: string } | null;
  /** null: it is still there */
  readonly back: {
    readonly at: Date;
    readonly staffId: string;
    /** what they did besides repairing open defects; null for nothing, or what was forgotten */
    readonly workDone: string | null;
    readonly parts: readonly { readonly name: string; readonly quantity: number }[];
    /** how many open defects they repaired */
    readonly repaired: number;
  } | null;
}

/** The stays of a machine at other workshops, as had arrived by the moment, in order. */
export async function staysOf(context: Pick<AppContext, "db">, machineId: string, at: Moment): Promise<Stay[]> {
  const stays: Stay[] = [];
  for (const row of await readStays(context.db, machineId, at)) {
    if (row.kind === "machine-sent-out") {
      const { workshop = "", reason = "", expectedDay = "" } = readAs(["machine-sent-out"], row)?.data.submitted ?? {};
      stays.push({ since: row.performedAt, told: workshop === "" ? null : { workshop, reason, expectedDay }, back: null });
      continue;
    }
    const last = stays.pop();
    const { workDone = null, parts = [], repaired = [] } = readAs(["machine-taken-back"], row)?.data.submitted ?? {};
    const back = { at: row.performedAt, staffId: row.staffId, workDone, parts, repaired: repaired.length };
    if (last) stays.push({ ...last, back });
  }
  return stays;
}
