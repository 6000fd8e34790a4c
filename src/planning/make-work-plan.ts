// What falls due at a depot's workshop, when it will be done, and what will be late. Nothing is stored.
import type { WorkPlanQuery } from "../../shared/contracts/planning.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { aboutDefect, type Reason } from "../../shared/rules/standing.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import { noDepot, platformErrors, threadWork, type View } from "../platform/index.ts";
import { wordsFor } from "../readiness/index.ts";
import type { Horizon, SaidOfDefects } from "./jobs.ts";
import { jobsOfAll, type MachineToPlan, type PlanAsked, planAsText, type planFed } from "./on-thread.ts";
import { planOf } from "./plan-of.ts";
import { readPressures } from "./pressure-store.ts";
import { findDepots, machinesOfDepot, type PlanDepot, readWearRecords } from "./store.ts";

const planWork = threadWork<typeof planFed>(import.meta.url, "./on-thread", "planFed");
const fewMachineDays = 200;
/** How many machines are handed to a thread at once: that takes a few milliseconds. */
const machinesAtOnce = 25;

/** Work due in the days after those asked for is looked at too, since some of it can be done ahead. */
const AHEAD_DAYS = 14;

/** The depot that is asked about: the one that is named, or the actor's only one. Throws `not-found`, `not-valid`. */
async function depotAsked(context: AppContext, { depotIds }: View): Promise<PlanDepot> {
  const [depot, another] = await findDepots(context.db, depotIds, 2);
  if (!depot) throw noDepot();
  if (another) {
    throw platformErrors.problem("not-valid", "You see several depots, and each has a plan of its own: name one.", {
      issues: [{ pointer: "/query/depotId", message: "name the depot" }],
    });
  }
  return depot;
}

/** The plan of a depot's workshop for the days asked for, from today, as JSON. Throws `not-found`, `not-valid`. */
export async function makeWorkPlan(
  context: AppContext,
  view: View,
  query: Pick<WorkPlanQuery, "days">,
  gone?: AbortSignal,
): Promise<string> {
  const { db, clock } = context;
  const depot = await depotAsked(context, view);
  const now = clock.now();
  const [policy, machines] = await Promise.all([readPolicy(db), machinesOfDepot(db, depot.id)]);
  noteUnjudged(context, machines);
  const [wear, pressures] = await Promise.all([
    readWearRecords(db, machines, now),
    readPressures(
      db,
      machines.map(({ id }) => id),
      now,
    ),
  ]);
  const today = localDay(now, depot.timeZone);
  const depotRules = { timeZone: depot.timeZone, policy };
  const horizon: Horizon = { ...depotRules, today, lastDay: addDays(today, query.days - 1 + AHEAD_DAYS) };
  const saidOf = await saidOfDefects(db, machines);
  const known = machines.flatMap(({ id, registrationMark, engineCc, ruleSet, features, handbook, state }): MachineToPlan[] => {
    const records = wear.get(id);
    const machine = { id, registrationMark, engineCc, ruleSet, features, handbook, state, said: saidOf(state) };
    return records ? [{ machine, records, pressures: pressures.get(id) ?? [] }] : [];
  });
  const asked: PlanAsked = { depot: { id: depot.id, workshopHoursPerDay: depot.workshopHoursPerDay }, horizon, now, days: query.days };
  // A small workshop's week is computed sooner than it could be handed to a thread.
  if (known.length * query.days <= fewMachineDays) return planAsText(planOf(asked.depot, jobsOfAll(known, asked), horizon, query.days));
  return context.threads.feed(planWork, asked, batchesOf(known), gone);
}

/** For the machines' defects, what is kept in no state: the words of those that name no item, and the parts that are awaited. */
async function saidOfDefects(db: AppContext["db"], machines: readonly { readonly state: MachineState }[]) {
  const inWords = await wordsFor(
    db,
    machines.flatMap(({ state }) => state.defects.map(reasonOf)),
  );
  return ({ defects }: MachineState): SaidOfDefects =>
    Object.fromEntries(
      inWords(defects.map(reasonOf)).flatMap(({ defectId, words, part }) =>
        defectId === undefined || (words ?? part) === undefined
          ? []
          : [[defectId, { ...(words === undefined ? {} : { words }), ...(part === undefined ? {} : { part }) }]],
      ),
    );
}

const reasonOf = (defect: MachineState["defects"][number]): Reason => ({ code: "grounding-defect", ...aboutDefect(defect) });

function* batchesOf(machines: readonly MachineToPlan[]): Generator<readonly MachineToPlan[]> {
  for (let from = 0; from < machines.length; from += machinesAtOnce) yield machines.slice(from, from + machinesAtOnce);
}
