// The offline bundle, with which a check can be made and judged without a signal: fetched while there is one, and kept in the browser's store.
import type { FieldKit } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { normaliseMark } from "../../../shared/rules/identity.ts";
import { call, NoSignal, Problem } from "../frame/call.ts";
import { createStore, keptStore } from "../frame/store.ts";
import { type BundleMachine, type BundleModel, checkedMachine, depotRulesOf, type OfflineBundle } from "./bundle-shape.ts";
import { afterDelivery } from "./overlay.ts";
import { keepBundle, keptBundle } from "./phone-store.ts";
import type { Waiting } from "./waiting-shape.ts";

export { type BundleMachine, type BundleModel, checkedMachine, depotRulesOf, type OfflineBundle };

/** The depot whose machines are in the bundle, for somebody who has several depots; empty: machines of all of them, up to `mostOfSeveral`. */
export const bundleDepot = keptStore<string>("ferrule.walk-depot", "", (_text): _text is string => true);

/** Nobody checks more in a day, and a poor link transfers no more in reasonable time (common practice, no source). */
const mostOfSeveral = 400;

export const hasSeveralDepots = ({ allDepots, depotIds }: Person): boolean => allDepots || depotIds.length > 1;

export const offlineBundle = createStore<OfflineBundle | null>(null);

/** Whether the service could not be reached at the last attempt. */
export const lost = createStore(false);

const oldMs = 5 * 60_000;

/** Whether its news is so old that the reader has to be told. */
export const bundleIsOld = (of: OfflineBundle): boolean => Date.now() + of.aheadMs - Date.parse(of.at) > oldMs;

/** The bundle that is kept for this person, if there is one. */
export async function openBundle(staffId: string): Promise<void> {
  const kept = await keptBundle();
  if (kept?.staffId === staffId && offlineBundle.get() === null) offlineBundle.set(kept);
}

/** Reads the bundle again, which another tab may have updated. */
export async function reopenBundle(): Promise<void> {
  const now = offlineBundle.get();
  const kept = now && (await keptBundle());
  if (kept && kept.staffId === now.staffId && kept.at >= now.at) offlineBundle.set(kept);
}

/** Fetches the whole bundle again. Throws `NoSignal` and `Problem`; then the old one stays. */
export async function fetchBundle(person: Person): Promise<void> {
  const several = hasSeveralDepots(person);
  const depotId = several ? bundleDepot.get() : "";
  try {
    await noticing(() => fetchOf(person.id, depotId, several && depotId === "" ? mostOfSeveral : Number.POSITIVE_INFINITY));
  } catch (error) {
    // Somebody else on this phone chose that depot, or it is no longer theirs.
    if (depotId === "" || !(error instanceof Problem) || error.code !== "other-depot") throw error;
    bundleDepot.set("");
    await fetchBundle(person);
  }
}

async function noticing(fetch: () => Promise<void>): Promise<void> {
  try {
    await fetch();
    lost.set(false);
  } catch (error) {
    // If the session ended during a walk nothing is heard either, until the rider sends something and signs in again.
    if (error instanceof NoSignal || (error instanceof Problem && error.status === 401)) lost.set(true);
    throw error;
  }
}

/** Everything, or what has changed `since` then. */
async function fetchOf(staffId: string, depotId: string, most: number, since: string | null = null): Promise<void> {
  const of = [depotId === "" ? "" : `&depotId=${encodeURIComponent(depotId)}`, since === null ? "" : `&since=${encodeURIComponent(since)}`];
  const machines: BundleMachine[] = [];
  const models = new Map<string, BundleModel>();
  let cursor: string | null = null;
  let page: FieldKit;
  let aheadMs = 0;
  do {
    const asked = Date.now();
    page = await call<FieldKit>(`/v1/field-kit?limit=200${of.join("")}${cursor === null ? "" : `&cursor=${encodeURIComponent(cursor)}`}`, {
      byItself: true,
    });
    // The answer was made between sending and receiving; the middle is the best guess.
    aheadMs = Date.parse(page.at) - (asked + Date.now()) / 2;
    machines.push(...page.items);
    for (const model of page.models) models.set(model.id, model);
    cursor = page.nextCursor;
  } while (cursor !== null && machines.length < most);
  const heard = { staffId, at: page.at, aheadMs, policy: page.policy, rides: page.rides };
  const before = offlineBundle.get();
  const next = withDelivered(
    since !== null && before?.staffId === staffId
      ? { ...before, ...heard, models: [...byId(before.models, [...models.values()]).values()], machines: merged(before, machines) }
      : { ...heard, wholeAt: page.at, depotId, models: [...models.values()], machines, cut: cursor !== null },
  );
  offlineBundle.set(next);
  await keepBundle(next);
}

const byId = <One extends { readonly id: string }>(...lists: readonly (readonly One[])[]): Map<string, One> =>
  new Map(lists.flat().map((one) => [one.id, one]));

/** The machines with the changes applied. If the bundle holds only a part of the machines, none are added. */
function merged({ machines, cut }: OfflineBundle, changed: readonly BundleMachine[]): BundleMachine[] {
  const known = byId(machines);
  const next = byId(machines, cut ? changed.filter(({ id }) => known.has(id)) : changed);
  return [...next.values()].sort((one, other) => (one.registrationMark < other.registrationMark ? -1 : 1));
}

const wholeEveryMs = 10 * 60_000;

/** Fetches what has changed; or everything, if the last full fetch was long ago, since changes do not tell that a machine has moved to another depot. */
export async function refreshBundle(person: Person, everything = false): Promise<void> {
  const now = offlineBundle.get();
  const depotId = hasSeveralDepots(person) ? bundleDepot.get() : "";
  const stale = !now?.wholeAt || now.staffId !== person.id || Date.parse(now.at) - Date.parse(now.wholeAt) > wholeEveryMs;
  if (everything || stale || now.depotId !== depotId) return fetchBundle(person);
  // With an overlap, since what is written at one moment can only be read a little later.
  const since = new Date(Date.parse(now.at) - 2 * answersOverlapMs).toISOString();
  try {
    await noticing(() => fetchOf(person.id, depotId, Number.POSITIVE_INFINITY, since));
  } catch (error) {
    // The depot is no longer theirs.
    if (!(error instanceof Problem) || error.code !== "other-depot") throw error;
    await fetchBundle(person);
  }
}

/** Pieces that the service accepted in the last half minute: a bundle read at that time may not contain them yet. */
let delivered: readonly { readonly piece: Waiting; readonly cleared: boolean; readonly at: string }[] = [];
const answersOverlapMs = 30_000;

const withDelivered = (fetched: OfflineBundle): OfflineBundle =>
  delivered
    .filter(({ at }) => Date.parse(at) + answersOverlapMs > Date.parse(fetched.at))
    .reduce((laid, { piece, cleared }) => afterPiece(laid, piece, cleared), fetched);

const afterPiece = (of: OfflineBundle, piece: Waiting, cleared: boolean): OfflineBundle => ({
  ...of,
  machines: of.machines.map((machine) => ({
    ...machine,
    state: afterDelivery(of, machine, piece, cleared && piece.staffId === of.staffId),
  })),
});

/** Adds a piece that the service has accepted to the bundle. `cleared`: whether it cleared its maker. */
export function rememberDelivery(piece: Waiting, cleared: boolean): void {
  const now = offlineBundle.get();
  if (!now) return;
  const at = new Date(Date.now() + now.aheadMs).toISOString();
  delivered = [...delivered.filter((one) => Date.parse(one.at) + 2 * answersOverlapMs > Date.parse(at)), { piece, cleared, at }];
  const next = afterPiece(now, piece, cleared);
  offlineBundle.set(next);
  void keepBundle(next);
}

function rememberState(machineId: string, state: BundleMachine["state"]): void {
  const now = offlineBundle.get();
  if (!now) return;
  const next = { ...now, machines: now.machines.map((machine) => (machine.id === machineId ? { ...machine, state } : machine)) };
  offlineBundle.set(next);
  void keepBundle(next);
}

/** The service did not clear this person, so the phone's own clearance no longer counts. */
export function dropClearance(machineId: string, riderId: string): void {
  const state = offlineBundle.get()?.machines.find(({ id }) => id === machineId)?.state;
  if (state) rememberState(machineId, { ...state, clearances: state.clearances.filter((held) => held.riderId !== riderId) });
}

/** The machine that carries this mark, however it is typed. A code that was scanned may hold an address that ends with the mark. */
export function machineByMark({ machines }: OfflineBundle, text: string): BundleMachine | null {
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
export function nowBy(of: OfflineBundle | null): Date {
  const off = of === null ? 0 : of.aheadMs;
  const most = (of?.policy.clockAheadMinutes ?? 5) * 60_000;
  return new Date(Date.now() + (Math.abs(off) > most ? off : 0));
}

/** By how many minutes this phone's clock is wrong, where that is too much; null where it will do. */
export function clockOffMinutes(of: OfflineBundle | null): number | null {
  if (of === null || Math.abs(of.aheadMs) <= of.policy.clockAheadMinutes * 60_000) return null;
  return Math.round(-of.aheadMs / 60_000);
}
