// Riders on shift to the machines of a depot that are ready on that day. Nothing is stored.
import type { Allocation, AllocationBody } from "../../shared/contracts/planning.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { noDepot, type ProblemIssue, platformErrors, threadWork } from "../platform/index.ts";
import { type AllocationPlan, type AllocationRider, allocate, type Shortage } from "./allocation.ts";
import { findRiders, machinesBefore } from "./allocation-store.ts";
import { readyOrNot } from "./line-facts.ts";
import { isReady, whyNotHere } from "./line-flags.ts";
import type { AllocationAsked, allocateAsked } from "./on-thread.ts";
import { findDepots } from "./store.ts";

const allocation = threadWork<typeof allocateAsked>(import.meta.url, "./on-thread", "allocateAsked");
/** Riders times machines: fewer pairs are solved sooner than they could be handed to a thread. */
const fewPairs = 10_000;

type Unserved = Allocation["unserved"][number];

/** The door has asked whose depot it is. Throws `not-found`, and `not-valid` for a day that is over or a person named twice. */
export async function allocateMachines(context: AppContext, body: AllocationBody, gone?: AbortSignal): Promise<Allocation> {
  const { db, clock } = context;
  const [depot] = await findDepots(db, [body.depotId], 1);
  if (!depot) throw noDepot();
  mustMakeSense(body, localDay(clock.now(), depot.timeZone));
  const staffIds = body.riders.map(({ staffId }) => staffId);
  const [machines, known, rodeBefore] = await Promise.all([
    readyOrNot(context, db.rows, { depot, day: body.day }),
    findRiders(db.rows, depot.id, staffIds),
    machinesBefore(db.rows, depot.id, body.day),
  ]);
  const ready = machines.filter(({ standing }) => isReady(standing));
  const people = new Map(known.map((person) => [person.staffId, person]));
  const named = (staffId: string) => {
    const { staffNumber = null, name = null } = people.get(staffId) ?? {};
    return { staffId, staffNumber, name };
  };
  const riders: AllocationRider[] = [];
  const unserved: Unserved[] = [];
  for (const { staffId, licenceClass, needsLoadBox } of body.riders) {
    const person = people.get(staffId);
    const reason = whyNotHere(person);
    if (reason) unserved.push({ ...named(staffId), reason, text: word(`unserved.${reason}`) });
    else
      riders.push({
        staffId,
        licenceClass: licenceClass ?? person?.licenceClass ?? null,
        needsLoadBox: needsLoadBox ?? false,
        rodeBefore: rodeBefore.get(staffId) ?? null,
      });
  }
  const plan = await giveOut(
    context,
    {
      riders,
      machines: ready.map(({ id, engineCc, features, riddenBy }) => ({ ...{ id, engineCc, riddenBy }, hasLoadBox: features.loadBox })),
    },
    gone,
  );
  const licenceOf = new Map(riders.map(({ staffId, licenceClass }) => [staffId, licenceClass]));
  const markOf = new Map(ready.map(({ id, registrationMark }) => [id, registrationMark]));
  return {
    ...{ depotId: depot.id, day: body.day, readyMachines: ready.length },
    changes: plan.allocations.filter(({ changed }) => changed).length,
    allocations: plan.allocations.map(({ staffId, machineId, changed }) => ({
      ...{ ...named(staffId), machineId, changed },
      registrationMark: markOf.get(machineId) ?? "",
      licenceKnown: licenceOf.get(staffId) !== null,
    })),
    unserved: [
      ...unserved,
      ...plan.unserved.map(({ staffId, reason }) => saidShortage(named(staffId), reason, licenceOf.get(staffId) ?? "")),
    ],
    caution: word("caution.line"),
  };
}

const giveOut = async (context: AppContext, asked: AllocationAsked, gone: AbortSignal | undefined): Promise<AllocationPlan> =>
  asked.riders.length * Math.max(asked.machines.length, asked.riders.length) <= fewPairs
    ? allocate(asked.riders, asked.machines)
    : context.threads.run(allocation, asked, gone);

function mustMakeSense({ day, riders }: AllocationBody, today: string): void {
  const issues: ProblemIssue[] = [];
  if (day < today) issues.push({ pointer: "/day", message: "is over" });
  const seen = new Set<string>();
  riders.forEach(({ staffId }, index) => {
    if (seen.has(staffId)) issues.push({ pointer: `/riders/${index}/staffId`, message: "is named twice" });
    seen.add(staffId);
  });
  if (issues.length > 0) throw platformErrors.problem("not-valid", "Machines cannot be given out like this.", { issues });
}

const saidShortage = (rider: Pick<Unserved, "staffId" | "staffNumber" | "name">, reason: Shortage, licence: string): Unserved => ({
  ...rider,
  reason: reason === "no-machine-ready" ? "no-machine-left" : reason,
  text: word(`unserved.${reason}`, "en", { licence }),
});
