// What the phone takes along, so that a check can be made and judged without a signal: fetched when there is one, kept in the browser's store.
import type { FieldKit } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { normaliseMark } from "../../../shared/rules/identity.ts";
import type { Place } from "../../../shared/rules/standing.ts";
import { call, Problem } from "../frame/call.ts";
import { createStore, keptStore } from "../frame/store.ts";
import { keepKit, keptKit } from "./shelf.ts";

export type KitMachine = FieldKit["items"][number];
export type KitModel = FieldKit["models"][number];

export interface Kit {
  readonly staffId: string;
  /** when it was fetched, by the clock of the service */
  readonly at: string;
  /** how far the clock of the service is ahead of this phone's */
  readonly aheadMs: number;
  readonly policy: FieldKit["policy"];
  readonly models: readonly KitModel[];
  readonly machines: readonly KitMachine[];
  /** there are more, at other depots: this is not the place to look for a machine that is missing here */
  readonly cut: boolean;
}

/** The depot whose machines this phone takes along, for somebody who has several; empty: all of them, up to `mostOfSeveral`. */
export const kitDepot = keptStore<string>("ferrule.walk-depot", "", (_text): _text is string => true);

/** Nobody walks round more in a day, and a poor link carries no more in reasonable time (common practice, no source). */
const mostOfSeveral = 400;

export const hasSeveralDepots = ({ allDepots, depotIds }: Person): boolean => allDepots || depotIds.length > 1;

export const kit = createStore<Kit | null>(null);

/** The kit that is kept for this person, if there is one. */
export async function openKit(staffId: string): Promise<void> {
  const kept = await keptKit();
  if (kept?.staffId === staffId && kit.get() === null) kit.set(kept);
}

/** Fetches it anew. Throws `NoSignal` and `Problem`; the one at hand stays then. */
export async function fetchKit(person: Person): Promise<void> {
  const several = hasSeveralDepots(person);
  const depotId = several ? kitDepot.get() : "";
  try {
    await fetchOf(person.id, depotId, several && depotId === "" ? mostOfSeveral : Number.POSITIVE_INFINITY);
  } catch (error) {
    // Chosen by somebody else on this phone, or not theirs any more.
    if (depotId === "" || !(error instanceof Problem) || error.code !== "other-depot") throw error;
    kitDepot.set("");
    await fetchKit(person);
  }
}

async function fetchOf(staffId: string, depotId: string, most: number): Promise<void> {
  const of = depotId === "" ? "" : `&depotId=${encodeURIComponent(depotId)}`;
  const machines: KitMachine[] = [];
  const models = new Map<string, KitModel>();
  let cursor: string | null = null;
  let page: FieldKit;
  let aheadMs = 0;
  do {
    const asked = Date.now();
    page = await call<FieldKit>(`/v1/field-kit?limit=200${of}${cursor === null ? "" : `&cursor=${encodeURIComponent(cursor)}`}`);
    // The answer was made between asking and hearing; half of the way is the best guess.
    aheadMs = Date.parse(page.at) - (asked + Date.now()) / 2;
    machines.push(...page.items);
    for (const model of page.models) models.set(model.id, model);
    cursor = page.nextCursor;
  } while (cursor !== null && machines.length < most);
  const fetched = { staffId, at: page.at, aheadMs, policy: page.policy, models: [...models.values()], machines, cut: cursor !== null };
  kit.set(fetched);
  await keepKit(fetched);
}

/** What a check made here means for the machine, until the service has been asked. */
export function rememberState(machineId: string, state: KitMachine["state"]): void {
  const now = kit.get();
  if (!now) return;
  const next = { ...now, machines: now.machines.map((machine) => (machine.id === machineId ? { ...machine, state } : machine)) };
  kit.set(next);
  void keepKit(next);
}

/** The service did not clear this person: what this phone thought of it counts no more. */
export function dropClearance(machineId: string, riderId: string): void {
  const state = kit.get()?.machines.find(({ id }) => id === machineId)?.state;
  if (state) rememberState(machineId, { ...state, clearances: state.clearances.filter((held) => held.riderId !== riderId) });
}

const freshMs = 60_000;

/** Whether it was fetched so lately that there is no need to ask again. */
export const isFresh = (of: Kit | null): boolean => of !== null && Math.abs(Date.now() + of.aheadMs - Date.parse(of.at)) < freshMs;

export const placeOf = ({ policy }: Kit, machine: KitMachine): Place => ({ timeZone: machine.timeZone, policy });

/** The machine as the rules judge it; null where its model is not in the kit. */
export function checkedMachine(of: Kit, machine: KitMachine): CheckedMachine | null {
  const model = of.models.find(({ id }) => id === machine.modelId);
  if (!model) return null;
  return {
    machineId: machine.id,
    state: machine.state,
    features: model.features,
    handbook: model.handbook,
    place: placeOf(of, machine),
  };
}

/** The machine that carries this mark, however it is typed. A code that was scanned may hold an address that ends with the mark. */
export function machineByMark({ machines }: Kit, text: string): KitMachine | null {
  const last = text.trim().split("/").at(-1) ?? "";
  const read = normaliseMark(decodeMark(last));
  return read.ok ? (machines.find(({ registrationMark }) => registrationMark === read.mark) ?? null) : null;
}

function decodeMark(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** The moment by the clock of the service, where this phone's is off by more than a check may be. */
export function nowBy(of: Kit | null): Date {
  const off = of === null ? 0 : of.aheadMs;
  const most = (of?.policy.clockAheadMinutes ?? 5) * 60_000;
  return new Date(Date.now() + (Math.abs(off) > most ? off : 0));
}

/** By how many minutes this phone's clock is wrong, where that is too much; null where it will do. */
export function clockOffMinutes(of: Kit | null): number | null {
  if (of === null || Math.abs(of.aheadMs) <= of.policy.clockAheadMinutes * 60_000) return null;
  return Math.round(-of.aheadMs / 60_000);
}
