// One at a time under a name: over all tabs where the browser has locks, else in this tab. Browsers keep locks for pages that came over
// https or from the device itself.

const queues = new Map<string, Promise<unknown>>();

/** Acts once nobody else does under this name, and answers what came of it. */
export function oneAtATime<Result>(name: string, act: () => Promise<Result>): Promise<Result> {
  if (navigator.locks) return navigator.locks.request(name, act);
  const turn = (queues.get(name) ?? Promise.resolve()).then(act, act);
  queues.set(name, turn);
  return turn;
}
