// What a phone takes along: everything that its own verdict on a check needs, so that it can give one without a signal.
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { FieldKit, FieldKitQuery } from "../../shared/contracts/fleet.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import { type Actor, cursorFrom, depotsInView, pageFrom } from "../platform/index.ts";
import { latelyOf, nothingLately } from "./lately.ts";
import { machineInView } from "./show-machine.ts";
import { machinesAfter, modelsOf } from "./store.ts";

/** The actor's machines by registration mark, each with its state, and the models and policy they are judged by. Throws `other-depot`, `not-found`. */
export async function fieldKit(context: AppContext, actor: Actor, query: FieldKitQuery): Promise<FieldKit> {
  const depotIds = depotsInView(actor, query.depotId);
  const rows =
    query.machineId === undefined
      ? await machinesAfter(context.db, depotIds, cursorFrom(query.cursor)?.[0] ?? null, query.limit + 1, { since: query.since ?? null })
      : [await machineInView(context, actor, query.machineId)];
  noteUnjudged(context, rows);
  const page = pageFrom(
    rows,
    query.limit,
    (row) => [row.registrationMark],
    ({ id, registrationMark, modelId, depotId, depotName, timeZone, ruleSet, secondPerson, state }) => ({
      ...{ id, registrationMark, modelId, depotId, depotName, timeZone, ruleSet, secondPerson },
      // Who else rode it this morning is not needed to judge this rider's check.
      state: { ...state, clearances: state.clearances.filter(({ riderId }) => riderId === actor.staffId) },
    }),
  );
  const lately = await latelyOf(context, actor.staffId, rows.slice(0, query.limit));
  const modelIds = [...new Set(page.items.map(({ modelId }) => modelId))];
  return {
    at: context.clock.now().toISOString(),
    sheetVersion: SHEET_VERSION,
    policy: await readPolicy(context.db),
    models: await modelsOf(context.db, modelIds),
    ...page,
    items: page.items.map((item) => ({ ...item, lately: lately.get(item.id) ?? nothingLately })),
  };
}
