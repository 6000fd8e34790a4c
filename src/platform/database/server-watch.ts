// One connection to the server that carries no work: it listens on the channels, and it asks the server whether it is there when a statement takes
// long. While the server does not answer it keeps trying, so that nobody else has to.
import pg from "pg";
import { NotReached } from "./database-away.ts";
import { whyNotReached } from "./server-refusals.ts";

/** Short, so that a server that is back is found within 2 s, whatever happened to the packets of the last try. */
const retryLimitMs = 1000;
const pauseMs = 250;
/** How often the connection is checked: one that broke without notice hears nothing until then. */
const heartbeatMs = 15_000;

const turnMs = 50;
const turns = 4;

/**
 * Calls `silent` when `ms` have passed, unless the returned function is called before. At the end it lets the event loop turn: if this process was
 * busy until then, what has arrived meanwhile is read first, so that its own delay does not count as the other side's silence.
 */
export function afterSilence(ms: number, silent: () => void): () => void {
  let timer = setTimeout(
    () => {
      let left = turns;
      timer = setInterval(() => {
        left -= 1;
        if (left > 0) return;
        clearInterval(timer);
        silent();
      }, turnMs);
    },
    Math.max(0, ms - turns * turnMs),
  );
  return () => clearTimeout(timer);
}

type Heard = (payload: string) => void;

export class ServerWatch {
  readonly #session: pg.ClientConfig;
  readonly #answerMs: number;
  readonly #freshMs: number;
  readonly #channels = new Map<string, Set<Heard>>();
  readonly #toTell: (() => void)[] = [];
  readonly #heartbeat: NodeJS.Timeout;
  #client: pg.Client | null = null;
  #asking: Promise<boolean> | null = null;
  #connecting: Promise<pg.Client> | null = null;
  #silent = false;
  #closed = false;
  #trying = false;
  #heardAt = 0;

  /** `limitMs`: a server that does not answer is noticed within this time. */
  constructor(session: pg.ClientConfig, limitMs: number) {
    this.#session = session;
    this.#answerMs = limitMs * 0.2;
    this.#freshMs = limitMs * 0.3;
    this.#heartbeat = setInterval(() => {
      if (this.#client) void this.ask();
    }, heartbeatMs).unref();
  }

  /** Whether the server was asked and has not answered since. A server that refuses is not silent: that is noticed at once. */
  get isSilent(): boolean {
    return this.#silent;
  }

  onSilence(tell: () => void): void {
    this.#toTell.push(tell);
  }

  /** Call this when the server has answered on another connection. */
  heard(): void {
    this.#heardAt = performance.now();
  }

  /** Asks the server whether it is there; if not, those who registered for it are told. */
  ask(): Promise<boolean> {
    this.#asking ??= this.#ask().finally(() => {
      this.#asking = null;
    });
    return this.#asking;
  }

  /** Listens on a channel from now on, also after a lost connection; returns a function that stops it. */
  async listen(channel: string, heard: Heard): Promise<() => Promise<void>> {
    const client = await this.#connected(this.#freshMs * 2).catch((error: unknown) => {
      throw new NotReached(`The database was not reached: ${whyNotReached(error)}.`, error);
    });
    const listeners = this.#channels.get(channel) ?? new Set();
    this.#channels.set(channel, listeners.add(heard));
    await this.#answer(client, `LISTEN ${channel}`, this.#freshMs * 2);
    return async () => {
      listeners.delete(heard);
      if (listeners.size > 0 || !this.#channels.delete(channel)) return;
      if (this.#client) await this.#answer(this.#client, `UNLISTEN ${channel}`, this.#answerMs).catch(() => undefined);
    };
  }

  async close(): Promise<void> {
    this.#closed = true;
    clearInterval(this.#heartbeat);
    const client = this.#client;
    this.#client = null;
    if (client) await Promise.race([client.end(), pause(this.#answerMs)]);
  }

  async #ask(): Promise<boolean> {
    if (this.#closed || this.#silent) return !this.#silent;
    const askedAt = performance.now();
    if (this.#client) {
      try {
        await this.#answer(this.#client, "SELECT 1", this.#answerMs);
        return true;
      } catch {
        // It may be this connection alone that is dead.
        this.#drop();
      }
    }
    const answer = await this.#try(this.#freshMs);
    if (answer === "refused") this.#keepTrying();
    // A busy server may be slow to accept a new connection and still answer on those it has.
    if (answer !== "silent" || this.#heardAt > askedAt) return true;
    this.#silent = true;
    for (const tell of this.#toTell) tell();
    this.#keepTrying();
    return false;
  }

  /** Connects until it is connected. Ends where nobody listens and the server is not silent: then nobody needs the connection. */
  #keepTrying(): void {
    if (this.#trying) return;
    this.#trying = true;
    void (async () => {
      while (!this.#closed && !this.#client && (this.#silent || this.#channels.size > 0)) {
        const answer = await this.#try(retryLimitMs);
        if (answer !== "silent") this.#silent = false;
        if (answer !== "connected") await pause(pauseMs);
      }
      this.#trying = false;
    })();
  }

  async #try(limitMs: number): Promise<"connected" | "refused" | "silent"> {
    try {
      await this.#connected(limitMs);
      return "connected";
    } catch (error) {
      return error instanceof Silence ? "silent" : "refused";
    }
  }

  async #connected(limitMs: number): Promise<pg.Client> {
    if (this.#client) return this.#client;
    this.#connecting ??= this.#connect(limitMs).finally(() => {
      this.#connecting = null;
    });
    return this.#connecting;
  }

  async #connect(limitMs: number): Promise<pg.Client> {
    const client = new pg.Client({ ...this.#session, connectionTimeoutMillis: 0 });
    client.on("error", () => undefined);
    client.on("notification", ({ channel, payload }) => {
      for (const heard of this.#channels.get(channel) ?? []) heard(payload ?? "");
    });
    await this.#within(client, limitMs, () => client.connect());
    for (const channel of this.#channels.keys()) await this.#answer(client, `LISTEN ${channel}`, limitMs);
    if (this.#closed) {
      void client.end();
      throw new Error("the database is closed");
    }
    this.#client = client;
    this.#silent = false;
    client.on("end", () => {
      if (this.#client !== client) return;
      this.#client = null;
      this.#keepTrying();
    });
    return client;
  }

  #answer(client: pg.Client, sql: string, limitMs: number): Promise<unknown> {
    return this.#within(client, limitMs, () => client.query(sql));
  }

  /** Runs `work` on a connection that is cut off when the limit passes. */
  async #within<T>(client: pg.Client, limitMs: number, work: () => Promise<T>): Promise<T> {
    let stop = (): void => undefined;
    const silence = new Promise<never>((_, failed) => {
      stop = afterSilence(limitMs, () => {
        failed(new Silence("the server does not answer"));
        client.connection.stream.destroy();
      });
    });
    try {
      return await Promise.race([work(), silence]);
    } finally {
      stop();
    }
  }

  #drop(): void {
    const client = this.#client;
    this.#client = null;
    client?.connection.stream.destroy();
  }
}

class Silence extends Error {}

const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms).unref());
