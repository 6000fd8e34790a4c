// Applies what waits on this phone, whoever made it, to what the service has sent: a finding counts against a machine from the moment when it
// was written down here. Pure: the pages and the tests call the same functions.
import { SHEET_VERSION } from "../../../shared/catalogue/sheet.ts";
import { findingOf } from "../../../shared/rules/answers.ts";
import { judgeDailyCheck } from "../../../shared/rules/daily-check.ts";
import { takeFall } from "../../../shared/rules/fall.ts";
import { type Finding, recordFinding } from "../../../shared/rules/findings.ts";
import { grounds, type MachineState } from "../../../shared/rules/machine-state.ts";
import { type BundleMachine, checkedMachine, type OfflineBundle } from "./bundle-shape.ts";
import type { Waiting } from "./waiting-shape.ts";

/** What was found and is written down in a piece. */
export type PieceFinding = Pick<Finding, "itemId" | "observationIds" | "category"> & { readonly note: string | null };

interface Laid {
  readonly state: MachineState;
  readonly findings: readonly PieceFinding[];
}

const nothing = (state: MachineState): Laid => ({ state, findings: [] });

/** The machine's state after a piece, as if it had arrived when it was made. It gives its maker a clearance only if it `clears` them. */
function lay(bundle: OfflineBundle, machine: BundleMachine, piece: Waiting, clears: boolean): Laid {
  const before = machine.state;
  const checked = checkedMachine(bundle, machine);
  if (!checked || piece.kind === "photo" || piece.body.machineId !== machine.id) return nothing(before);
  const madeAt = new Date(piece.madeAt);
  let number = 0;
  const newId = () => `${piece.id} ${number++}`;
  if (piece.kind === "defect") {
    const { itemId, observationIds = [], note = null, seenAt } = piece.body;
    if (itemId === undefined) return nothing(before);
    const finding = findingOf(itemId, observationIds, SHEET_VERSION);
    const moment = { seenAt: new Date(seenAt), recordedAt: madeAt };
    return {
      state: notEarlier(before, recordFinding(before, finding, piece.id, moment, checked.depotRules).state),
      findings: [{ ...finding, note }],
    };
  }
  if (piece.kind === "fall") {
    const { happenedAt, odometerKm } = piece.body;
    const fell = takeFall(before, piece.id, { happenedAt: new Date(happenedAt), odometerKm }, madeAt, checked.depotRules);
    return nothing(notEarlier(before, fell.state));
  }
  const judged = judgeDailyCheck(checked, piece.body, { staffId: piece.staffId, licenceClass: null }, madeAt, newId);
  if (judged.refused) return nothing(before);
  // The phone knows only the licence of whoever is signed in: what it said when the piece was made counts.
  const cleared = clears && piece.decision !== "do-not-ride";
  const clearances = judged.state.clearances.filter(({ checkId }) => cleared || checkId !== piece.id);
  return {
    state: notEarlier(before, { ...judged.state, clearances }),
    findings: judged.raised.map(({ defect, note }, index) => {
      const answer = piece.body.answers.find(({ itemId }) => itemId === defect.itemId) ?? piece.body.answers[index];
      return { itemId: defect.itemId, observationIds: answer?.observationIds ?? [], category: defect.category, note };
    }),
  };
}

/** An older piece must not make the time of the last grounding earlier. */
const notEarlier = (before: MachineState, after: MachineState): MachineState =>
  before.groundedAt !== null && (after.groundedAt === null || after.groundedAt < before.groundedAt)
    ? { ...after, groundedAt: before.groundedAt }
    : after;

/** Whether a piece says something about its machine that the service does not know yet, as far as this phone knows. */
const isNews = (piece: Waiting): boolean => piece.kind !== "photo" && !piece.passedOn && !(piece.kind === "check" && piece.overruled);

const inOrderMade = (pieces: readonly Waiting[]): Waiting[] => [...pieces].sort((one, other) => one.madeAt.localeCompare(other.madeAt));

/** The bundle with these pieces applied. Only this person's own checks clear them, and no check that the service refused. */
export function layOver(bundle: OfflineBundle, pieces: readonly Waiting[], staffId: string): OfflineBundle {
  const news = inOrderMade(pieces.filter(isNews));
  if (news.length === 0) return bundle;
  const machines = bundle.machines.map((machine) => {
    let laid = machine;
    for (const piece of news) laid = { ...laid, state: lay(bundle, laid, piece, piece.staffId === staffId && !piece.refused).state };
    const { lately } = laid;
    // What the service said about who grounded it was about an earlier grounding.
    return lately && laid.state.groundedAt !== machine.state.groundedAt ? { ...laid, lately: { ...lately, groundedBy: null } } : laid;
  });
  return { ...bundle, machines };
}

/** A machine's state once the service has a piece; `cleared`: whether it cleared its maker. */
export const afterDelivery = (bundle: OfflineBundle, machine: BundleMachine, piece: Waiting, cleared: boolean): MachineState =>
  lay(bundle, machine, piece, cleared).state;

/** The findings in a piece; none if this phone does not know the machine. */
export function findingsIn(bundle: OfflineBundle, piece: Waiting): readonly PieceFinding[] {
  const machine = piece.kind === "photo" ? undefined : bundle.machines.find(({ id }) => id === piece.body.machineId);
  return machine ? lay(bundle, machine, piece, false).findings : [];
}

/** Whether any of it keeps the machine off the road. */
export const isGrounding = (findings: readonly PieceFinding[]): boolean => findings.some(({ category }) => grounds(category));
