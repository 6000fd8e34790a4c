// What tests have threads do.
import { once } from "node:events";
import type { MessagePort } from "node:worker_threads";

export const twice = ({ number }: { readonly number: number }): number => 2 * number;

export const fails = (): never => {
  throw new RangeError("no such number");
};

export const dies = (): never => process.exit(3);

/** Takes all memory that a thread is given. */
export const swells = (): number => {
  const held: number[][] = [];
  for (;;) held.push(Array.from({ length: 100_000 }, (_, index) => index));
};

/** Never gives its turn back. */
export const spins = (): never => {
  for (;;);
};

/** Waits until the flag is raised. */
export const waits = ({ flag }: { readonly flag: Int32Array }): string => {
  Atomics.add(flag, 1, 1);
  Atomics.notify(flag, 1);
  Atomics.wait(flag, 0, 0);
  return "done";
};

export const adds = async ({ head, port }: { readonly head: number; readonly port: MessagePort }): Promise<number> => {
  let sum = head;
  for (;;) {
    const [batch] = (await once(port, "message")) as [number[] | null];
    if (batch === null) break;
    sum = batch.reduce((one, other) => one + other, sum);
    port.postMessage("next");
  }
  port.close();
  return sum;
};

export const diesFed = async ({ port }: { readonly head: number; readonly port: MessagePort }): Promise<number> => {
  await once(port, "message");
  process.exit(4);
};
