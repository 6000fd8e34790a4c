// What was done here and has not reached the service. Each piece keeps the id that it was made with, so a piece sent twice, because an answer
// was lost or the phone was switched off, still counts once at the service. One tab at a time sends.
import type { DailyCheckReceipt } from "../../../shared/contracts/checks.ts";
import { call, NoSignal, Problem } from "../frame/call.ts";
import { oneAtATime } from "../frame/one-at-a-time.ts";
import { signInState } from "../frame/session.ts";
import { createStore } from "../frame/store.ts";
import { dropClearance, rememberDelivery, reopenBundle } from "./offline-bundle.ts";
import { dropWaiting, keepWaiting, keptWaiting } from "./phone-store.ts";
import type { Waiting } from "./waiting-shape.ts";

/** Everything that waits on this device, whoever made it. */
export const waiting = createStore<readonly Waiting[]>([]);

/** What the service answered to a check that was sent from here, while the page is open. */
export const answered = createStore<ReadonlyMap<string, DailyCheckReceipt>>(new Map());

/** Pieces that could not be stored on the device: they are sent from memory, and lost if the page is closed before. */
const unkept = new Map<string, Waiting>();
export const isKept = (id: string): boolean => !unkept.has(id);

const channel = new BroadcastChannel("ferrule outbox");
channel.addEventListener("message", () => {
  // What another tab has sent is in its bundle already.
  void reopenBundle().then(readAgain);
});

// What may ground a machine is sent before pictures, which take long over a poor link.
const byUrgency = (one: Waiting, other: Waiting): number =>
  Number(one.kind === "photo") - Number(other.kind === "photo") || one.madeAt.localeCompare(other.madeAt);

export async function readAgain(): Promise<void> {
  const kept = await keptWaiting();
  waiting.set([...kept, ...unkept.values()].sort(byUrgency));
}

async function change(act: () => Promise<void>): Promise<void> {
  await act();
  await readAgain();
  channel.postMessage("changed");
}

/** Puts a piece into the outbox. False if the device has no room: then it waits in memory. */
export async function put(piece: Waiting): Promise<boolean> {
  await change(async () => {
    try {
      await keepWaiting(piece);
      unkept.delete(piece.id);
    } catch {
      unkept.set(piece.id, piece);
    }
  });
  return isKept(piece.id);
}

/** Removes a piece that the service has, or that its maker has given up. */
export const takeOut = (id: string): Promise<void> =>
  change(async () => {
    unkept.delete(id);
    // If it could not be removed it is sent again, which changes nothing.
    await dropWaiting(id).catch(() => undefined);
  });

/** Sends one piece to the service. Its answer stays in the outbox only if somebody has to read it. */
async function deliver(piece: Waiting): Promise<void> {
  if (piece.kind === "photo") {
    await call(`/v1/photos?id=${piece.id}`, { method: "POST", body: piece.picture });
  } else if (piece.kind === "defect") {
    await call("/v1/defects", { method: "POST", body: piece.body });
    rememberDelivery(piece, false);
  } else if (piece.kind === "fall") {
    const { machineId, ...body } = piece.body;
    await call(`/v1/machines/${machineId}/falls`, { method: "POST", body });
    rememberDelivery(piece, false);
  } else {
    const receipt = await call<DailyCheckReceipt>("/v1/daily-checks", { method: "POST", body: piece.body });
    answered.set(new Map([...answered.get(), [piece.id, receipt]]));
    rememberDelivery(piece, receipt.clearance.decision !== "do-not-ride");
    if (receipt.clearance.decision !== piece.decision) {
      if (receipt.clearance.decision === "do-not-ride") dropClearance(piece.body.machineId, piece.staffId);
      await put({ ...piece, overruled: receipt.clearance });
      return;
    }
  }
  await takeOut(piece.id);
}

/** Whether a piece still has to be sent to the service, as far as is known here. */
export const isUnsent = (piece: Waiting): boolean => !piece.refused && !(piece.kind === "check" && piece.overruled);

/** Why the service did not accept a piece that it may accept later unchanged. */
export interface Held {
  readonly status: number;
  readonly code: string;
  readonly detail: string;
  /** when it is sent again at the latest, while the page is open */
  readonly againAt: Date;
}

/** Pieces that were answered but not accepted, while the page is open, so that their maker sees the real reason. */
export const heldUp = createStore<ReadonlyMap<string, Held>>(new Map());

/** How often each piece was tried in vain: one that keeps failing is sent after those not tried yet. */
const triedInVain = new Map<string, number>();

// The same call may succeed later: there were too many calls, the first is still being written, or the service has a fault or is restarting.
const passes = ({ status, code }: Problem): boolean => status >= 500 || status === 408 || status === 429 || code === "id-in-progress";

let waits = 0;
let timer: ReturnType<typeof setTimeout> | undefined;

function tryLater(): Date {
  clearTimeout(timer);
  waits += 1;
  const ms = Math.min(5 * 2 ** Math.min(waits, 6), 300) * 1000;
  timer = setTimeout(() => void sendAll(), ms);
  return new Date(Date.now() + ms);
}

/** Called when the service has answered something new. */
const subscribers = new Set<() => void>();

type Outcome = "answered" | "held" | "nobody-there" | "session-ended";

async function tryOne(piece: Waiting): Promise<{ readonly outcome: Outcome; readonly why?: Omit<Held, "againAt"> }> {
  try {
    await deliver(piece);
    return { outcome: "answered" };
  } catch (error) {
    // With a one-time code nothing is accepted either: what waits is sent once its maker has chosen a secret of their own.
    if (error instanceof Problem && (error.status === 401 || error.code === "secret-must-change")) return { outcome: "session-ended" };
    if (error instanceof Problem && !passes(error)) {
      if (piece.kind === "check") dropClearance(piece.body.machineId, piece.staffId);
      await put({ ...piece, refused: { code: error.code, detail: error.message, pointers: error.issues.map(({ pointer }) => pointer) } });
      return { outcome: "answered" };
    }
    if (error instanceof Problem) return { outcome: "held", why: { status: error.status, code: error.code, detail: error.message } };
    // A gateway answered in place of the service: the next piece may succeed.
    if (error instanceof NoSignal && error.status !== undefined)
      return { outcome: "held", why: { status: error.status, code: "gateway", detail: error.message } };
    if (error instanceof NoSignal) return { outcome: "nobody-there" };
    console.error(error);
    return { outcome: "held", why: { status: 0, code: "unknown", detail: String(error) } };
  }
}

/** Another person's acts are sent in their own session only. */
const isToSend = (piece: Waiting): boolean => {
  const { person, ended } = signInState.get();
  return !ended && person !== null && !person.mustChangeSecret && piece.staffId === person.id && isUnsent(piece);
};

/** Sends what waits, the urgent first. A piece that is not accepted now does not hold up the others. */
export async function sendAll(): Promise<void> {
  let answeredAny = false;
  await oneAtATime("ferrule outbox", async () => {
    await readAgain();
    const failed = new Map<string, Omit<Held, "againAt">>();
    const tries = (piece: Waiting) => triedInVain.get(piece.id) ?? 0;
    let lost = false;
    for (const piece of [...waiting.get()].sort((one, other) => tries(one) - tries(other))) {
      if (!isToSend(piece)) continue;
      const { outcome, why } = await tryOne(piece);
      if (outcome === "session-ended") break;
      if (outcome === "answered") {
        answeredAny = true;
        waits = 0;
        triedInVain.delete(piece.id);
        continue;
      }
      triedInVain.set(piece.id, tries(piece) + 1);
      if (why) failed.set(piece.id, why);
      // No signal, or too many calls: the other pieces would fail too.
      lost = outcome === "nobody-there";
      if (lost || why?.status === 429) break;
    }
    const againAt = failed.size > 0 || lost ? tryLater() : new Date();
    heldUp.set(new Map([...failed].map(([id, why]) => [id, { ...why, againAt }])));
  });
  if (answeredAny) for (const notify of subscribers) notify();
}

/**
 * Sends again whenever that may succeed: there is a signal, the page is back in front, somebody has signed in. `onAnswer` is called when the
 * service has answered, `onReturn` whenever sending may succeed.
 */
export function keepSending({ onAnswer, onReturn }: { readonly onAnswer: () => void; readonly onReturn: () => void }): () => void {
  const go = () => {
    // Nothing goes and nothing comes before somebody has signed in again.
    if (document.visibilityState === "hidden" || signInState.get().ended) return;
    waits = 0;
    void sendAll().then(onReturn);
  };
  subscribers.add(onAnswer);
  addEventListener("online", go);
  addEventListener("focus", go);
  document.addEventListener("visibilitychange", go);
  const stop = signInState.subscribe(go);
  go();
  return () => {
    subscribers.delete(onAnswer);
    removeEventListener("online", go);
    removeEventListener("focus", go);
    document.removeEventListener("visibilitychange", go);
    stop();
  };
}
