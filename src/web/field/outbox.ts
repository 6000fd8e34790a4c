// What was done here and is not at the service yet. Each piece carries the id that it was made with, so that one which is sent twice, because
// an answer was lost or the phone went dark, is one at the service all the same. One tab at a time sends.
import type { DailyCheckBody, DailyCheckReceipt } from "../../../shared/contracts/checks.ts";
import { call, NoSignal, Problem } from "../frame/call.ts";
import { oneAtATime } from "../frame/one-at-a-time.ts";
import { here, whoIsHere } from "../frame/session.ts";
import { createStore } from "../frame/store.ts";
import { dropClearance } from "./kit.ts";
import { dropWaiting, keepWaiting, keptWaiting } from "./shelf.ts";

export type Decision = "ride" | "ride-with-defects" | "do-not-ride";

interface OfAll {
  readonly id: string;
  readonly staffId: string;
  readonly staffName: string;
  readonly madeAt: string;
  readonly registrationMark: string;
  /** why the service did not take it, where it did not: somebody has to see to it */
  readonly refused?: { readonly code: string; readonly detail: string };
}

export interface WaitingCheck extends OfAll {
  readonly kind: "check";
  readonly body: DailyCheckBody;
  /** what this phone said of it */
  readonly decision: Decision;
  /** what the service says instead: it has the check, and the rider has to hear of this */
  readonly overruled?: DailyCheckReceipt["clearance"];
}

export interface WaitingPhoto extends OfAll {
  readonly kind: "photo";
  readonly picture: Blob;
}

export interface WaitingDefect extends OfAll {
  readonly kind: "defect";
  readonly body: object;
}

export type Waiting = WaitingCheck | WaitingPhoto | WaitingDefect;

/** Everything that waits on this device, whoever made it. */
export const waiting = createStore<readonly Waiting[]>([]);

/** What the service answered to a check that was sent from here, while the page is open. */
export const answered = createStore<ReadonlyMap<string, DailyCheckReceipt>>(new Map());

/** What could not be kept on the device: it is sent from memory, and lost if the page is closed before. */
const unkept = new Map<string, Waiting>();
export const isKept = (id: string): boolean => !unkept.has(id);

const channel = new BroadcastChannel("ferrule outbox");
channel.addEventListener("message", () => void readAgain());

// What may ground a machine goes before pictures, which take long over a poor link.
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

/** Puts a piece into the outbox. False where the device has no room: it waits in memory then. */
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

/** Takes a piece out that the service has, or that its maker has given up. */
export const takeOut = (id: string): Promise<void> =>
  change(async () => {
    unkept.delete(id);
    // Still there afterwards, it is sent once more, which changes nothing.
    await dropWaiting(id).catch(() => undefined);
  });

/** Hands one piece to the service. What it answers is only left in the outbox where somebody has to read it. */
async function deliver(piece: Waiting): Promise<void> {
  if (piece.kind === "photo") {
    await call(`/v1/photos?id=${piece.id}`, { method: "POST", body: piece.picture });
  } else if (piece.kind === "defect") {
    await call("/v1/defects", { method: "POST", body: piece.body });
  } else {
    const receipt = await call<DailyCheckReceipt>("/v1/daily-checks", { method: "POST", body: piece.body });
    answered.set(new Map([...answered.get(), [piece.id, receipt]]));
    if (receipt.clearance.decision !== piece.decision) {
      dropClearance(piece.body.machineId, piece.staffId);
      await put({ ...piece, overruled: receipt.clearance });
      return;
    }
  }
  await takeOut(piece.id);
}

/** Whether it still has to go to the service, as far as it is known. */
export const isUnsent = (piece: Waiting): boolean => !piece.refused && !(piece.kind === "check" && piece.overruled);

// The same call may succeed later as it is: it was too much at once, is still being written, or the service is restarting.
const passes = ({ status, code }: Problem): boolean =>
  [408, 429, 500, 503, 507].includes(status) || code === "id-in-progress" || code === "busy";

let waits = 0;
let timer: ReturnType<typeof setTimeout> | undefined;

function tryLater(): void {
  clearTimeout(timer);
  waits += 1;
  timer = setTimeout(() => void sendAll(), Math.min(5 * 2 ** Math.min(waits, 6), 300) * 1000);
}

/** Whoever shows what the service knows: it has said something new. */
const hearers = new Set<() => void>();

/** Sends what waits, the urgent first, as far as it goes. */
export async function sendAll(): Promise<void> {
  let answeredAny = false;
  await oneAtATime("ferrule outbox", async () => {
    await readAgain();
    for (const piece of waiting.get()) {
      // Another person's acts are sent in their own session only.
      if (here.get().ended || piece.staffId !== whoIsHere()?.id || !isUnsent(piece)) continue;
      try {
        await deliver(piece);
        answeredAny = true;
        waits = 0;
      } catch (error) {
        if (error instanceof Problem && error.status !== 401 && !passes(error)) {
          answeredAny = true;
          if (piece.kind === "check") dropClearance(piece.body.machineId, piece.staffId);
          await put({ ...piece, refused: { code: error.code, detail: error.message } });
          continue;
        }
        if (error instanceof NoSignal || error instanceof Problem) {
          if (!(error instanceof Problem && error.status === 401)) tryLater();
          return;
        }
        throw error;
      }
    }
  });
  if (answeredAny) for (const hear of hearers) hear();
}

/**
 * Sends again whenever there is hope: a signal, the page back in front, somebody signed in. `onAnswer` is called when the service has
 * answered to something, `onReturn` whenever there is hope.
 */
export function keepSending({ onAnswer, onReturn }: { readonly onAnswer: () => void; readonly onReturn: () => void }): () => void {
  const go = () => {
    if (document.visibilityState === "hidden") return;
    waits = 0;
    void sendAll().then(onReturn);
  };
  hearers.add(onAnswer);
  addEventListener("online", go);
  document.addEventListener("visibilitychange", go);
  const stop = here.subscribe(go);
  go();
  return () => {
    hearers.delete(onAnswer);
    removeEventListener("online", go);
    document.removeEventListener("visibilitychange", go);
    stop();
  };
}
