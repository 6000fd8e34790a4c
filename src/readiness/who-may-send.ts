// Who may send an act about a machine. Asked for the moment when it was done: the machine may have moved to another depot since, and
// so may the one who did it. Only what is asked for now (an amendment, a sign-off) goes by the depots of now.
import type { NewEntry } from "../ledger/index.ts";
import { type Actor, type House, seesDepot } from "../platform/index.ts";
import type { MachineFacts } from "./facts.ts";
import { readDepotsThen } from "./store.ts";

/** The one who sends an act, as far as depots go. */
export interface Sender {
  /** of the machine's depot now; of its depot when it was done; of neither, and then only what was found counts */
  readonly ofDepot: "now" | "then" | "never";
  /** what is odd about it, for the act's flags */
  readonly flags: readonly "other-depot"[];
  /** what the entry says beside its flags */
  readonly noted: { readonly depotIdThen?: string | null };
}

const fromHere: Sender = { ofDepot: "now", flags: [], noted: {} };

/** Reads who sends, against the machine's depot of now and, for an act that says when it was done, of then. */
export async function senderOf(house: House, actor: Actor, { machine }: MachineFacts, performedAt: Date | undefined): Promise<Sender> {
  if (seesDepot(actor, machine.depotId)) return fromHere;
  if (performedAt === undefined) return { ofDepot: "never", flags: ["other-depot"], noted: {} };
  const then = await readDepotsThen(house.db, { machineId: machine.id, staffId: actor.staffId, at: performedAt });
  // Nothing on record about the person before that moment, and no change since: as they are now.
  const theirs = then.person ?? (then.amendedSince ? null : { allDepots: false, depotIds: actor.depotIds ?? [] });
  const wasOfIt = then.depotId !== null && theirs !== null && (theirs.allDepots || theirs.depotIds.includes(then.depotId));
  return { ofDepot: wasOfIt ? "then" : "never", flags: ["other-depot"], noted: { depotIdThen: then.depotId } };
}

/** Whether an act tells of something that is wrong with the machine: that is taken from whoever of the firm saw it. */
export const tellsOfDefect = (entries: readonly NewEntry[]): boolean =>
  entries.some(({ kind }) => kind === "defect-raised" || kind === "defect-sighted");
