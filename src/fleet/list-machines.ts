import type { Machine, MachineListQuery } from "../../shared/contracts/fleet.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import { type Actor, cursorFrom, pageFrom, type View } from "../platform/index.ts";
import { wordsFor } from "../readiness/index.ts";
import { machineSummary, openIn } from "./machine-summary.ts";
import { readIdentityAsked } from "./rules.ts";
import { machinesAfter } from "./store.ts";

// A standing is computed, not stored, so a list of one standing reads on until its page is full.
const batchSize = 500;

/** Machines of a view by registration mark, as they stand now. Throws `not-valid` for a mark or number that is none. */
export async function listMachines(context: AppContext, actor: Actor, { depotIds }: View, query: MachineListQuery) {
  const identity = readIdentityAsked(query);
  const policy = await readPolicy(context.db);
  const at = context.clock.now();
  const wanted = query.limit + 1;
  const found: Machine[] = [];
  let after = cursorFrom(query.cursor)?.[0] ?? null;
  for (;;) {
    const take = query.standing === undefined ? wanted : batchSize;
    const rows = await machinesAfter(context.db, depotIds, after, take, identity);
    noteUnjudged(context, rows);
    const inWords = await wordsFor(context.db, rows.flatMap(openIn));
    const machines = rows.map((row) => machineSummary(row, policy, at, actor.staffId, inWords));
    found.push(...machines.filter(({ standing }) => query.standing === undefined || standing === query.standing));
    if (found.length >= wanted || rows.length < take) break;
    after = rows.at(-1)?.registrationMark ?? null;
  }
  return pageFrom(
    found,
    query.limit,
    (machine) => [machine.registrationMark],
    (machine) => machine,
  );
}
