// The one way to change anything about a machine: read its facts, decide (pure), write the act with its record and the state that
// follows. Nobody holds a lock while deciding: the gate in the writing statement lets one writer through, and whoever comes late reads the
// facts again and decides anew. So a check and a grounding at the same moment are judged one after the other.
import { type RecordContent, readAs } from "../../shared/records/index.ts";
import { groundingCount, isFromTheFuture, type MachineState, notAfterNow } from "../../shared/rules/machine-state.ts";
import { entriesAfter, type Kind, type NewEntry, recordForgotten } from "../ledger/index.ts";
import { type ActingPerson, mustSeeDepot, outcomeUnknown, ProblemError, platformErrors, takenIn } from "../platform/index.ts";
import type { ActRows, MachineParticulars } from "./act-rows.ts";
import type { AppContext } from "./context.ts";
import type { EntryAsKept, KnownEntry, MachineFacts } from "./facts.ts";
import { rebuildState } from "./rebuild-state.ts";
import { sameSubmission } from "./rules.ts";
import { noteUnjudged } from "./stored-state.ts";
import { type Sender, type Sent, senderOf, tellsOfHarm } from "./who-may-send.ts";

/** What was decided: at least one entry for the record, the state after, and the rooms' rows. */
export interface Decision<K extends Kind = Kind> {
  readonly entries: readonly [NewEntry<K>, ...NewEntry[]];
  readonly state: MachineState;
  readonly rows?: readonly ActRows[];
  /** the depot after the act, where it moves */
  readonly depotId?: string;
  /** which of the machine's own particulars change */
  readonly particulars?: MachineParticulars;
}

/** An act that came from the field under an id of the client's own. */
export interface Submission<K extends Kind = Kind> extends Sent {
  readonly id: string;
  /** the kinds that its first entry may have */
  readonly kinds: readonly K[];
  /** as parsed; stored in the entry's data as `submitted`, so that a repetition can be told from a reuse */
  readonly body: Readonly<Record<string, unknown>>;
}

export interface Acted<K extends Kind = Kind> {
  /** the first entry of the act: its receipt is made from it, the first time and every time it is sent again */
  readonly entry: KnownEntry<K>;
  readonly repeated: boolean;
}

type Decide<K extends Kind> = (facts: MachineFacts, recordedAt: Date, sender: Sender) => Decision<K> | Promise<Decision<K>>;

// Each round lets one writer through, so a dozen on one machine all get their turn; a crowd of scripts is told to slow down.
const mostRounds = 24;

/**
 * Decides and writes one act on a machine. Throws `not-found`, `other-depot`, `id-reused`, `record-forgotten` for a repetition that can
 * no longer be compared, `id-in-progress`, `busy`, `outcome-unknown` where the connection was lost in the middle, and what `decide` throws.
 * `decide` gets the facts, the moment of arrival, which is never before the machine's last record unless that one is from the future, and
 * the sender: an act that tells of a defect or a fall is taken from anybody of the firm, any other only from somebody who is of the machine's depot,
 * or was when it was done. What `decide` reads itself belongs to these facts as long as only acts on this machine write it: the gate lets
 * nothing through that was decided before another act was written.
 */
export async function actOnMachine<K extends Kind>(
  context: AppContext,
  about: {
    readonly machineId: string;
    readonly actor: ActingPerson;
    readonly submission?: Submission<K>;
  },
  decide: Decide<K>,
): Promise<Acted<K>> {
  const { submission } = about;
  if (submission === undefined) return decideAndWrite(context, about, decide);
  const { inProgress } = context.acts;
  if (inProgress.has(submission.id)) {
    throw platformErrors.problem(
      "id-in-progress",
      "The same id is being written at this moment. Send it again in a second to get its receipt.",
    );
  }
  inProgress.add(submission.id);
  try {
    return await decideAndWrite(context, about, decide);
  } finally {
    inProgress.delete(submission.id);
  }
}

async function decideAndWrite<K extends Kind>(
  context: AppContext,
  { machineId, actor, submission }: { machineId: string; actor: ActingPerson; submission?: Submission<K> },
  decide: Decide<K>,
): Promise<Acted<K>> {
  for (let round = 0; round < mostRounds; round += 1) {
    const hear = context.clock.asking?.();
    const read = await context.acts.facts.read({ machineId, submissionId: submission?.id ?? null });
    if (read?.databaseMs !== undefined) hear?.(read.databaseMs);
    const whole = read && (await rebuiltIfUnreadable(context, read));
    const [facts, arrivedAt] = whole ? inTime(whole, context.clock.now()) : [null, null];
    if (!facts) throw platformErrors.problem("not-found", "There is no machine with this id.");
    // A receipt is owed to the one who sent it, wherever they and the machine are now.
    if (facts.known && submission) return { entry: repeated(facts.known, submission, machineId, actor), repeated: true };

    const recordedAt = new Date(Math.max(arrivedAt.getTime(), Date.parse(facts.state.recordedAt)));
    const isAhead = isFromTheFuture(facts.state, arrivedAt);
    const sender = await senderOf(context, actor, facts, submission);
    const decision = await decideAs(sender, actor, facts, isAhead ? arrivedAt : recordedAt, decide);
    const depotId = decision.depotId ?? facts.machine.depotId;
    const head = { length: facts.machine.recordCount, sha256: facts.machine.headSha256 };
    const author = { chainId: machineId, machineId, depotId, staffId: actor.staffId, recordedAt };
    // Records keep their order, so this one follows the one from the future, and says itself when it really arrived.
    const entries = entriesAfter(head, author, decision.entries, context.newSalt, isAhead ? { arrivedAt: arrivedAt.toISOString() } : {});
    const { odometerKm, odometerAt } = facts.state;
    const state: MachineState = {
      ...decision.state,
      ...(sender.flags.includes("odometer-unreadable") ? { odometerKm, odometerAt } : {}),
      recordedAt: recordedAt.toISOString(),
    };
    const written = await context.acts
      .write({
        machineId,
        expectedCount: facts.machine.recordCount,
        depotId,
        recordedAt,
        state,
        // What was found open before a state that cannot be read is not in it, and stays counted.
        ...(facts.state.cannotBeJudged
          ? { openGrounding: null, groundingChange: groundingCount(state) - groundingCount(facts.state) }
          : { openGrounding: groundingCount(state), groundingChange: 0 }),
        entries,
        particulars: decision.particulars ?? {},
        rows: [...(decision.rows ?? []), ...(depotId === facts.machine.depotId ? [] : [context.acts.goAlong([{ machineId, depotId }])])],
      })
      .catch((error: unknown) => {
        // Another act takes the same id at this moment, and the entry or one of its rows meets it first: the next round finds it and says
        // so.
        if (submission && takenIn(error)?.endsWith("_pkey")) return "late" as const;
        throw error;
      });
    if (written === "unknown") throw outcomeUnknown();
    const [first] = decision.entries;
    // The entry is known already: reading it back could only turn a stored act into a failure.
    if (written === "stored") return { entry: { ...first, machineId, staffId: actor.staffId, recordedAt }, repeated: false };
  }
  throw platformErrors.problem(
    "busy",
    "Others are writing to this machine without a pause. Nothing was stored. Send it again in a moment.",
  );
}

/**
 * The facts with the state that the records give, where the stored one cannot be read: an act is decided on the truth or, where not even the
 * records give it, on a state that clears nothing. Its own write then stores the state whole again.
 */
async function rebuiltIfUnreadable(context: AppContext, facts: MachineFacts): Promise<MachineFacts> {
  if (!facts.state.cannotBeJudged) return facts;
  const { id, recordCount } = facts.machine;
  noteUnjudged(context, [{ id, state: facts.state }]);
  try {
    const state = (await rebuildState(context.db, id))?.states.get(recordCount);
    return state === undefined ? facts : { ...facts, state };
  } catch (error) {
    context.log.error({ err: error, machineId: id }, "the state of a machine can neither be read nor rebuilt from its records");
    return facts;
  }
}

/** The facts as they are judged now, and the moment. What a wrong clock dated in the future counts as of now. */
const inTime = (facts: MachineFacts, now: Date): [MachineFacts, Date] =>
  isFromTheFuture(facts.state, now) ? [{ ...facts, state: notAfterNow(facts.state, now.toISOString()) }, now] : [facts, now];

/** Decides, and throws `other-depot` where the sender is of another depot and the act tells of no defect and no fall, or cannot be taken at all. */
async function decideAs<K extends Kind>(
  sender: Sender,
  actor: ActingPerson,
  facts: MachineFacts,
  recordedAt: Date,
  decide: Decide<K>,
): Promise<Decision<K>> {
  if (sender.ofDepot !== "never") return decide(facts, recordedAt, sender);
  try {
    const decision = await decide(facts, recordedAt, sender);
    if (tellsOfHarm(decision.entries)) return decision;
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
  }
  mustSeeDepot(actor, facts.machine.depotId);
  throw new Error("who is of no depot of this machine does not see it");
}

function repeated<K extends Kind>(known: EntryAsKept, submission: Submission<K>, machineId: string, actor: ActingPerson): KnownEntry<K> {
  const same = submission.kinds.some((kind) => kind === known.kind) && known.machineId === machineId && known.staffId === actor.staffId;
  if (same) {
    const told = readAs(submission.kinds, known);
    if (told === null) throw recordForgotten();
    if (saysTheSame(told, submission)) return { ...known, ...told };
  }
  throw platformErrors.problem(
    "id-reused",
    "This id stands for another record already. Make a new id for a new record; send the old body unchanged to get its receipt.",
  );
}

/** Two mended bodies are the same where the bytes sent were: what stood in for a missing value may differ by now. */
function saysTheSame({ data }: RecordContent, { body, mended }: Submission): boolean {
  const asSent = "asSent" in data ? data.asSent : undefined;
  const submitted = "submitted" in data ? data.submitted : undefined;
  return asSent || mended ? asSent?.sha256 === mended?.asSent.sha256 : sameSubmission(submitted, body);
}
