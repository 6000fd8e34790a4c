// Who may send an act about a machine. That is judged for the moment when it was done: the machine may have moved to another depot since,
// and so may whoever did it. Only what is done at the moment of sending (an amendment, a sign-off) goes by the present depots.

import { localDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import type { SalvageFlag } from "../../shared/rules/salvage.ts";
import type { NewEntry } from "../ledger/index.ts";
import { type ActingPerson, seesDepot, type TakenAnyway } from "../platform/index.ts";
import type { AppContext } from "./context.ts";
import type { MachineFacts } from "./facts.ts";
import { readDepotsThen } from "./store.ts";

/** How an act arrived: who sends it, as far as depots go, and what was mended in it. */
export interface Sender {
  /** of the machine's depot now; of its depot when it was done; of neither, and then only what was found counts */
  readonly ofDepot: "now" | "then" | "never";
  /** what is odd about it, for the act's flags */
  readonly flags: readonly ("other-depot" | "before-service" | SalvageFlag)[];
  /** what the entry says beside its flags */
  readonly noted: { readonly depotIdThen?: string | null; readonly asSent?: TakenAnyway["asSent"] };
}

/** What an act that came from the field says of its arrival. */
export interface Sent {
  /** when it was done, for an act that says so: who may send it is asked for that moment */
  readonly performedAt?: Date;
  /** what was mended in the body so that it could be taken */
  readonly mended?: TakenAnyway | undefined;
}

/** How an act arrives: its sender against the machine's present depot and, where it says when it was done, its depot at that time. */
export async function senderOf(
  context: AppContext,
  actor: ActingPerson,
  facts: MachineFacts,
  submission: Sent | undefined,
): Promise<Sender> {
  const { mended, performedAt } = submission ?? {};
  const depots = await depotsOf(context, actor, facts, performedAt);
  const flags = [
    ...depots.flags,
    ...(performedAt !== undefined && isBeforeService(facts, performedAt) ? (["before-service"] as const) : []),
  ];
  return mended === undefined
    ? { ...depots, flags }
    : { ...depots, flags: [...flags, ...mended.flags], noted: { ...depots.noted, asSent: mended.asSent } };
}

/** A day on which the machine was not in service yet: a clock that is off, or another machine that carried the mark. */
const isBeforeService = ({ machine, depot }: MachineFacts, performedAt: Date): boolean =>
  localDay(performedAt, depot.timeZone) < machine.inServiceFrom;

async function depotsOf(
  context: AppContext,
  actor: ActingPerson,
  { machine }: MachineFacts,
  performedAt: Date | undefined,
): Promise<Sender> {
  if (seesDepot(actor, machine.depotId)) return { ofDepot: "now", flags: [], noted: {} };
  if (performedAt === undefined) return { ofDepot: "never", flags: ["other-depot"], noted: {} };
  const then = await readDepotsThen(context.db, { machineId: machine.id, staffId: actor.staffId, at: performedAt });
  // Nothing on record about the person before that moment, and no change since: as they are now.
  const theirs = then.person ?? (then.amendedSince ? null : { allDepots: false, depotIds: actor.depotIds ?? [] });
  const wasOfIt = then.depotId !== null && theirs !== null && (theirs.allDepots || theirs.depotIds.includes(then.depotId));
  return { ofDepot: wasOfIt ? "then" : "never", flags: ["other-depot"], noted: { depotIdThen: then.depotId } };
}

/** Whether an act tells of something that is wrong with the machine, or that it fell: that is taken from whoever of the firm saw it. */
export const tellsOfHarm = (entries: readonly NewEntry[]): boolean =>
  entries.some(({ kind }) => kind === "defect-raised" || kind === "defect-sighted" || kind === "machine-fell");

/** Where the odometer that was sent cannot be read, the last known figure stands in its place, and the state does not take it for read. */
export const withKnownOdometer = <Body extends { readonly odometerKm: number }>(
  body: Body,
  { flags }: Sender,
  state: MachineState,
): Body => (flags.includes("odometer-unreadable") ? { ...body, odometerKm: state.odometerKm } : body);
