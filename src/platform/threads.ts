// Long computations run outside the event loop, on a few threads of this process, while calls go on being answered. A thread runs a function of a
// room's `on-thread.ts`, which is given everything that it needs and returns plain data.
import { once } from "node:events";
import { availableParallelism } from "node:os";
import { extname } from "node:path";
import { MessageChannel, type MessagePort, type Transferable } from "node:worker_threads";
import type { FastifyReply } from "fastify";
import type { Logger } from "pino";
import { Piscina } from "piscina";
import { tooManyWaiting } from "./database/batch.ts";
import { platformErrors, tryAgain } from "./errors.ts";

const usual = {
  // Two even on one core, so that a year's plan does not hold up a report of one page; more than three would take cores from the database.
  mostThreads: Math.max(2, Math.min(3, availableParallelism())),
  // Each takes a few seconds at most; a call beyond this number is refused at once.
  mostWaiting: 32,
  // A computation that needs more is faulty: its thread is ended, and the process goes on. All threads together fit into the memory that
  // docker-compose.yml allows the service.
  mostMemoryMb: 512,
};
// Starting a thread takes about a second, and a running one keeps its fonts and compiled code: so an idle one is kept for a while.
const idleMs = 300_000;

/** Names a function in a file, for a thread to run. */
export interface ThreadWork<In, Out> {
  readonly filename: string;
  readonly name: string;
  /** only for the types; never set */
  readonly types?: (input: In) => Out;
}

/** The argument of a function that gets its input in batches: what is known at the beginning, and the port through which the rest comes. */
export interface Fed<Head> {
  readonly head: Head;
  /** delivers the batches, each to be answered with any message once it is processed, and `null` after the last */
  readonly port: MessagePort;
}

/** The function `name` of the file beside this one: `threadWork<typeof plan>(import.meta.url, "./on-thread", "plan")`. */
export const threadWork = <Work extends (input: never) => unknown>(
  from: string,
  file: string,
  name: string,
): ThreadWork<Parameters<Work>[0], Awaited<ReturnType<Work>>> => ({
  // The sources are TypeScript, an image has the same files as JavaScript.
  filename: new URL(`${file}${extname(from)}`, from).href,
  name,
});

export interface Threads {
  /**
   * Runs it on a thread; when `gone` is aborted it is cancelled, and its thread ended if it has begun. Throws what the function throws, `not-ready` if
   * too much is waiting, and an error if the thread dies, which affects no other call.
   */
  run<In, Out>(work: ThreadWork<In, Out>, input: In, gone?: AbortSignal): Promise<Out>;
  /** The same for input so large that handing it over at once would stall the event loop: each batch is sent when the one before is processed. */
  feed<Head, Batch, Out>(work: ThreadWork<Fed<Head>, Out>, head: Head, batches: Iterable<Batch>, gone?: AbortSignal): Promise<Out>;
  /** Ends all threads, whatever they do. */
  close(): Promise<void>;
}

/** The threads of a process. None is started before there is something to do. */
export function openThreads(
  log: Logger,
  limits: { readonly mostThreads: number; readonly mostWaiting: number; readonly mostMemoryMb: number } = usual,
): Threads {
  let pool: Piscina | undefined;
  let isClosed = false;
  const begin = (): Piscina => {
    const begun = new Piscina({
      // At least one: if all threads had died, work in the queue would wait until the next call comes.
      ...{ minThreads: 1, maxThreads: limits.mostThreads, maxQueue: limits.mostWaiting, idleTimeout: idleMs },
      resourceLimits: { maxOldGenerationSizeMb: limits.mostMemoryMb },
      execArgv: extname(import.meta.url) === ".ts" ? ["--import", new URL("../../.config/as-typescript.mjs", import.meta.url).href] : [],
    });
    // An idle thread may die too; the next piece of work starts another.
    begun.on("error", (error: unknown) => log.error({ err: error }, "a thread of the service has ended"));
    return begun;
  };

  const run = async <In, Out>(
    { filename, name }: ThreadWork<In, Out>,
    input: In,
    gone?: AbortSignal,
    transferList?: Transferable[],
  ): Promise<Out> => {
    if (isClosed) throw closing();
    pool ??= begin();
    try {
      return (await pool.run(input, {
        filename,
        name,
        ...(gone ? { signal: gone } : {}),
        ...(transferList ? { transferList } : {}),
      })) as Out;
    } catch (error) {
      if (gone?.aborted) throw platformErrors.problem("not-ready", "Whoever asked for it has gone.", { headers: tryAgain });
      if (isClosed) throw closing();
      if (error instanceof Error && error.message === "Task queue is at limit") throw tooManyWaiting();
      throw error;
    }
  };

  return {
    run: (work, input, gone) => run(work, input, gone),
    feed: async (work, head, batches, gone) => {
      const { port1: ours, port2: theirs } = new MessageChannel();
      const running = run(work, { head, port: theirs }, gone, [theirs]);
      // The error is handled below; until then it must not count as unhandled.
      running.catch(() => undefined);
      try {
        for (const batch of batches) {
          ours.postMessage(batch);
          await Promise.race([once(ours, "message"), running]);
        }
        ours.postMessage(null);
        return await running;
      } finally {
        ours.close();
      }
    },
    close: async () => {
      isClosed = true;
      await pool?.destroy();
    },
  };
}

const closing = () => platformErrors.problem("not-ready", "The service is closing. Send it again in a moment.", { headers: tryAgain });

/** Aborted when the caller hangs up before the answer is sent. */
export function goneOf({ raw }: Pick<FastifyReply, "raw">): AbortSignal {
  const gone = new AbortController();
  raw.once("close", () => {
    if (!raw.writableFinished) gone.abort();
  });
  return gone.signal;
}
