import type { Machine, MachineListQuery } from "../../shared/contracts/fleet.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import { type Actor, cursorFrom, pageFrom, textAndIdSchema, type View } from "../platform/index.ts";
import { wordsFor } from "../readiness/index.ts";
import { machineSummary, openIn } from "./machine-summary.ts";
import { readIdentityAsked } from "./rules.ts";
import { carriersOf, machinesAfter, placeOf } from "./store.ts";

// A standing is computed, not stored, so a list of one standing reads on until its page is full.
const batchSize = 500;

/** Machines of a view by registration mark, as they stand now. Throws `not-valid` for a mark or number that is none. */
export async function listMachines(context: AppContext, actor: Actor, { depotIds }: View, query: MachineListQuery) {
  const identity = readIdentityAsked(query);
  const policy = await readPolicy(context.db);
  const at = context.clock.now();
  const wanted = query.limit + 1;
  const found: Machine[] = [];
  let after = cursorFrom(query.cursor, textAndIdSchema);
  for (;;) {
    const take = query.standing === undefined ? wanted : batchSize;
    const rows =
      identity.mark !== null && query.at !== undefined
        ? await carriersOf(context.db, depotIds, identity.mark, new Date(query.at))
        : await machinesAfter(context.db, depotIds, after, take, { ...identity, disposed: query.disposed ?? null });
    noteUnjudged(context, rows);
    const inWords = await wordsFor(context.db, rows.flatMap(openIn));
    const machines = rows.map((row) => machineSummary(row, policy, at, actor.staffId, inWords));
    found.push(...machines.filter(({ standing }) => query.standing === undefined || standing === query.standing));
    if (found.length >= wanted || rows.length < take) break;
    const last = rows.at(-1);
    after = last ? placeOf(last) : null;
  }
  return pageFrom(found, query.limit, placeOf, (machine) => machine);
}
