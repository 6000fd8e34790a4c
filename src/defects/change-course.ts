// What all acts on one defect have in common: find its machine, take the step, write the record, answer with where things stand.
import type { CourseReceipt } from "../../shared/contracts/defects.ts";
import type { Said } from "../../shared/records/index.ts";
import type { Step } from "../../shared/rules/course.ts";
import { isBefore } from "../../shared/rules/field-record.ts";
import type { FirstLook, MachineState, OpenDefect } from "../../shared/rules/machine-state.ts";
import { type Reason, standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry, type MachineFacts } from "../acts/index.ts";
import { mustBeOfTheFleet } from "../fleet/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import { type Actor, type Database, platformErrors } from "../platform/index.ts";
import { wordsIfRead } from "../readiness/index.ts";
import { refusal } from "./errors.ts";
import { changeOf, type DefectChangeRow, type DefectEventRow, defectChangeRows, defectEventRows } from "./row-store.ts";
import { machineOfDefect } from "./store.ts";

/** Where the defect and its machine stand after an act; stored with it, so that a repetition says the same. */
export interface CourseOutcome {
  readonly defect: Pick<CourseReceipt["defect"], "id" | "status" | "category" | "dueDay"> & {
    /** the act was the first look of two: the defect stays as it was */
    readonly firstLook?: FirstLook["finding"];
  };
  readonly machine: { readonly id: string; readonly standing: CourseReceipt["machine"]["standing"]; readonly reasons: readonly Reason[] };
}

type CourseKind = "defect-regraded" | "defect-deferred" | "defect-waiting" | "defect-repaired" | "defect-signed-off" | "defect-not-found";
type CourseBody = { readonly id: string } & Readonly<Record<string, unknown>>;

/** What the entry of an act is made of. */
interface ToWrite<Body> {
  readonly entry: { readonly id: string; readonly performedAt: Date };
  /** what the entry of every such act says */
  readonly data: Pick<Said<"defect-deferred">, "defectId" | "outcome" | "grounded">;
  readonly submitted: Body & { readonly defectId: string };
  /** what an entry that closes the defect says besides */
  readonly ending: Pick<Said<"defect-signed-off">, "keptSince" | "seen">;
  readonly defect: OpenDefect;
}

export interface CourseAct<Body extends CourseBody> {
  readonly defectId: string;
  readonly kind: CourseKind;
  readonly event: DefectEventRow["kind"];
  readonly body: Body;
  readonly write: (what: ToWrite<Body>) => NewEntry<CourseKind>;
  /** when it was done, where that is known; else the arrival counts */
  readonly performedAt?: Date;
}

type Taken = Step<{
  readonly defect: OpenDefect;
  readonly grounded?: boolean;
  readonly keptSince?: string;
  readonly firstLook?: FirstLook;
}> & {
  readonly change?: Partial<DefectChangeRow>;
};

/** Takes one step of a defect's course. Throws `not-found`, `machine-disposed`, the refusals of the course, and what actOnMachine throws. */
export async function changeCourse<Body extends CourseBody>(
  context: AppContext,
  actor: Actor,
  act: CourseAct<Body>,
  step: (facts: MachineFacts, recordedAt: Date) => Taken,
): Promise<{ receipt: CourseReceipt; repeated: boolean }> {
  const machineId = await machineToActOn(context.db, act.defectId);
  const submitted = { ...act.body, defectId: act.defectId };
  const submission = {
    ...{ id: act.body.id, kinds: [act.kind], body: submitted },
    ...(act.performedAt ? { performedAt: act.performedAt } : {}),
  };
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, submission }, (facts, recordedAt) => {
    if (!wasDoneBeforeItLeft(facts, act.performedAt)) mustBeOfTheFleet(facts);
    const taken = step(facts, recordedAt);
    if (taken.refused !== null) throw refusal(taken.refused);
    const performedAt = act.performedAt && act.performedAt < recordedAt ? act.performedAt : recordedAt;
    const change: DefectChangeRow = { ...changeOf(taken.defect), ...taken.change };
    const entry = act.write({
      entry: { id: act.body.id, performedAt },
      data: {
        defectId: act.defectId,
        outcome: outcomeOf(facts, taken.state, { ...change, firstLook: taken.firstLook?.finding }, recordedAt),
        ...(taken.grounded ? { grounded: true } : {}),
      },
      submitted,
      ending: taken.keptSince === undefined ? {} : { keptSince: taken.keptSince, seen: taken.defect.observationIds },
      defect: taken.defect,
    });
    return {
      entries: [entry],
      state: taken.state,
      rows: [
        defectChangeRows([change]),
        defectEventRows([
          { id: act.body.id, machineId, defectId: act.defectId, kind: act.event, staffId: actor.staffId, performedAt, recordedAt },
        ]),
      ],
    };
  });
  return { receipt: await courseReceipt(context.db, entry), repeated };
}

/** Work that was done while it was of the fleet still arrives after it was sold; nothing else is decided about it. */
const wasDoneBeforeItLeft = ({ state }: MachineFacts, performedAt: Date | undefined): boolean =>
  performedAt !== undefined && state.disposed !== undefined && isBefore(performedAt, state.disposed.since);

/** The machine of a defect. Throws `not-found`. */
export async function machineToActOn(db: Database, defectId: string): Promise<string> {
  const machineId = await machineOfDefect(db, defectId);
  if (machineId === null) throw platformErrors.problem("not-found", "There is no defect with this id.");
  return machineId;
}

/** Whether a defect takes a second person, in the form from which the state is rebuilt. */
export const weightOf = ({ secondPerson, secondPersonItem }: OpenDefect): Pick<OpenDefect, "secondPerson" | "secondPersonItem"> => ({
  secondPerson,
  ...(secondPersonItem === undefined ? {} : { secondPersonItem }),
});

/** Where the defect and the machine stand in a state. */
export function outcomeOf(
  facts: MachineFacts,
  state: MachineState,
  about: Pick<DefectChangeRow, "id" | "status" | "category" | "dueDay"> & {
    readonly firstLook?: FirstLook["finding"] | undefined;
  },
  at: Date,
): CourseOutcome {
  const { id, status, category, dueDay, firstLook } = about;
  return {
    defect: {
      ...{ id, status, category, dueDay },
      ...(firstLook === undefined ? {} : { firstLook }),
    },
    machine: { id: facts.machine.id, ...standingAt(state, at, depotRulesOf(facts)) },
  };
}

const defectOf = ({ defect: { id, status, category, dueDay, firstLook } }: Pick<CourseOutcome, "defect">): CourseReceipt["defect"] => ({
  ...{ id, status, category, dueDay },
  secondLookNeeded: firstLook !== undefined,
});

/** The answer to an act on a defect, from its entry. */
export async function courseReceipt(
  db: Database,
  entry: KnownEntry<CourseKind | "defect-noted" | "defect-raised" | "defect-sighted">,
): Promise<CourseReceipt> {
  const { defectId, outcome } = entry.data;
  // Written for a check or an inspection under an id of the service's own: nobody sent it, and it says nothing of the machine.
  if (outcome?.machine === undefined) {
    throw platformErrors.problem("id-reused", "This id stands for another record already. Make a new id for a new record.");
  }
  const inWords = await wordsIfRead(db, outcome.machine.reasons);
  return {
    record: {
      id: entry.id,
      kind: entry.kind,
      defectId,
      staffId: entry.staffId ?? "",
      performedAt: entry.performedAt.toISOString(),
      recordedAt: entry.recordedAt.toISOString(),
    },
    defect: defectOf(outcome),
    machine: {
      id: outcome.machine.id,
      standing: outcome.machine.standing,
      reasons: inWords(outcome.machine.reasons).map((reason) => sayReason(reason)),
    },
    caution: word("caution.line"),
  };
}
