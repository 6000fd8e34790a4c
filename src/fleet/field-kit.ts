// What a phone takes with it: everything that it needs to judge a check by itself, without a signal.
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { FieldKit, FieldKitQuery } from "../../shared/contracts/fleet.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import { type Actor, cursorFrom, inView, pageFrom, textAndIdSchema, type View, type Whose } from "../platform/index.ts";
import { noNews, recentNewsOf } from "./recent-news.ts";
import { ridesFrom } from "./ride-store.ts";
import { machine } from "./show-machine.ts";
import { type MachineRow, machinesAfter, modelsOf, placeOf } from "./store.ts";

interface FieldKitView extends View {
  /** the one machine that was asked for; null: all in view */
  readonly machine: MachineRow | null;
}

/** The machines of a view, or the one that is asked for by itself. */
export const oneInView: Whose<AppContext, FieldKitView> = {
  ...inView,
  ask: async (context, actor, asked) => {
    const view = await inView.ask(context, actor, asked);
    return { ...view, machine: asked.machineId === undefined ? null : await machine.ask(context, actor, { id: asked.machineId }) };
  },
};

/** The machines in view by registration mark, each with its state, and the models and policy they are judged by. */
export async function fieldKit(
  context: AppContext,
  actor: Actor,
  { depotIds, machine }: FieldKitView,
  query: FieldKitQuery,
): Promise<FieldKit> {
  const rows =
    machine === null
      ? await machinesAfter(context.db, depotIds, cursorFrom(query.cursor, textAndIdSchema), query.limit + 1, {
          since: query.since ?? null,
          // A phone that has one from before has to learn that it is gone.
          disposed: query.since === undefined ? null : "too",
        })
      : [machine];
  noteUnjudged(context, rows);
  const page = pageFrom(
    rows,
    query.limit,
    placeOf,
    ({ id, registrationMark, modelId, depotId, depotName, timeZone, ruleSet, secondPerson, clearanceOverMidnight, state }) => ({
      ...{ id, registrationMark, modelId, depotId, depotName, timeZone, ruleSet, secondPerson, clearanceOverMidnight },
      // Who else was cleared to ride it is not needed to judge this rider's check.
      state: { ...state, clearances: state.clearances.filter(({ riderId }) => riderId === actor.staffId) },
    }),
  );
  const lately = await recentNewsOf(context, actor.staffId, rows.slice(0, query.limit));
  const modelIds = [...new Set(page.items.map(({ modelId }) => modelId))];
  return {
    at: context.clock.now().toISOString(),
    sheetVersion: SHEET_VERSION,
    policy: await readPolicy(context.db),
    models: await modelsOf(context.db, modelIds),
    rides: await ridesFrom(context.db, actor.staffId, context.clock.now(), depotIds),
    ...page,
    items: page.items.map((item) => ({ ...item, lately: lately.get(item.id) ?? noNews })),
  };
}
