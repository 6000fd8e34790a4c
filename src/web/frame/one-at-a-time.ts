// Runs one action at a time under a name: across all tabs if the browser has locks, else in this tab. Browsers allow locks only to pages that came
// over https or from the device itself.

const queues = new Map<string, Promise<unknown>>();

/** Runs `act` once no other action is running under this name, and returns its result. */
export function oneAtATime<Result>(name: string, act: () => Promise<Result>): Promise<Result> {
  if (navigator.locks) return navigator.locks.request(name, act);
  const turn = (queues.get(name) ?? Promise.resolve()).then(act, act);
  queues.set(name, turn);
  return turn;
}
