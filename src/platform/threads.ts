// Long computations leave the event loop: they run on a few threads of this process, one each, while calls go on being answered. What a
// thread runs is a function of a room's `on-thread.ts`, which takes all that it needs and gives back plain data.
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
  // Two even on one core, so that a year's plan does not hold up a paper of one page; more than three would take the database's cores.
  mostThreads: Math.max(2, Math.min(3, availableParallelism())),
  // A few seconds of work each at most: who comes after them is told so at once.
  mostWaiting: 32,
  // A computation that takes more has lost its way; the thread ends, and the process goes on.
  // All of them together leave room for the service in what docker-compose.yml allows it.
  mostMemoryMb: 512,
};
// A thread is begun in a second and keeps its fonts and its compiled code.
const idleMs = 300_000;

/** A function of a file, as a thread is told of it. */
export interface ThreadWork<In, Out> {
  readonly filename: string;
  readonly name: string;
  /** of the types alone */
  readonly types?: (input: In) => Out;
}

/** What a function that is fed is given: what is known from the beginning, and the end of a line through which the rest comes. */
export interface Fed<Head> {
  readonly head: Head;
  /** brings batches, each answered with any message once it is worked off, and `null` after the last */
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
   * Runs it on a thread; `gone` takes it back, or ends the thread where it has begun. Throws what the function throws, `not-ready` where too much
   * waits, and an error where the thread dies: that is this call's failure and nobody else's.
   */
  run<In, Out>(work: ThreadWork<In, Out>, input: In, gone?: AbortSignal): Promise<Out>;
  /** The same for what is too large to be handed over at once without a stall: a batch goes when the one before it was worked off. */
  feed<Head, Batch, Out>(work: ThreadWork<Fed<Head>, Out>, head: Head, batches: Iterable<Batch>, gone?: AbortSignal): Promise<Out>;
  /** Ends all threads, whatever they do. */
  close(): Promise<void>;
}

/** The threads of a process. None is begun before there is something to do. */
export function openThreads(
  log: Logger,
  limits: { readonly mostThreads: number; readonly mostWaiting: number; readonly mostMemoryMb: number } = usual,
): Threads {
  let pool: Piscina | undefined;
  let isClosed = false;
  const begin = (): Piscina => {
    const begun = new Piscina({
      // One at least: where all have ended with what they did, what waits would wait until somebody else comes.
      ...{ minThreads: 1, maxThreads: limits.mostThreads, maxQueue: limits.mostWaiting, idleTimeout: idleMs },
      resourceLimits: { maxOldGenerationSizeMb: limits.mostMemoryMb },
      execArgv: extname(import.meta.url) === ".ts" ? ["--import", new URL("../../.config/as-typescript.mjs", import.meta.url).href] : [],
    });
    // One that has nothing to do may die as well; the next piece of work begins another.
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
      // Seen below; until then it may fail while nobody looks.
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
