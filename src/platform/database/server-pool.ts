// The connections to the server, for Prisma and for statements by hand. Nothing here waits for ever: a connection is got in time or not at all,
// a statement that exceeds its limit loses its connection, and when the server stops answering all connections are dropped at once.
import pg from "pg";
import { NoAnswer, NotReached } from "./database-away.ts";
import { ownLimitMs } from "./patience.ts";
import type { ServerAddress } from "./server-address.ts";
import { whyNotReached } from "./server-refusals.ts";
import { afterSilence, type ServerWatch } from "./server-watch.ts";

/** The server itself ends a statement at its limit; if it has not answered this much later, it is not there. */
const graceMs = 500;
/** During a burst a call waits for a connection as long as statements are answered, at most this long: then another process should take the call. */
const longestWaitMs = 15_000;
const quietMs = 2000;
const lookMs = 500;

/** How the server is to behave towards each session of ours. */
export const sessionOf = (address: ServerAddress, limitMs: number): pg.ClientConfig => ({
  host: address.host,
  port: address.port,
  user: address.user,
  // An empty password keeps the driver from looking for one in files and environment variables.
  password: address.password ?? "",
  database: address.database,
  ssl: address.tls,
  application_name: address.applicationName,
  statement_timeout: limitMs,
  keepAlive: true,
  keepAliveInitialDelayMillis: 10_000,
  // Every statement here is short, but tables without statistics look large to the server: just-in-time compilation then takes half a second
  // for a statement that runs in a millisecond.
  options: "-c jit=off",
});

/** Clients that connect in time or fail. */
const inTime = (limitMs: number) =>
  class extends pg.Client {
    override connect(): Promise<pg.Client>;
    override connect(connected: (error: Error) => void): void;
    override connect(connected?: (error: Error) => void): Promise<pg.Client> | undefined {
      const stop = afterSilence(limitMs, () => this.connection.stream.destroy(new Error("the server did not answer in time")));
      const done = super.connect().finally(stop);
      if (!connected) return done;
      done.then(() => (connected as (error?: Error) => void)(), connected);
      return undefined;
    }
  };

type Release = (error?: Error | boolean) => void;
type Connected = (error: Error | undefined, client: pg.PoolClient | undefined, release: Release) => void;

interface Waiting {
  readonly begin: () => void;
  readonly giveUp: (error: Error) => void;
}

export class ServerPool extends pg.Pool {
  readonly #watch: ServerWatch;
  readonly #clients = new Set<pg.PoolClient>();
  readonly #waiting: Waiting[] = [];
  readonly #limits = new WeakMap<pg.PoolClient, number>();
  readonly #serverLimits = new WeakMap<pg.PoolClient, number>();
  readonly #spoiled = new WeakSet<pg.PoolClient>();
  /** the limit of a statement, unless the work has asked for more */
  readonly #usualMs: number;
  #free: number;
  #answeredAt = performance.now();

  constructor(session: pg.ClientConfig, size: number, limitMs: number, watch: ServerWatch) {
    // Connecting takes milliseconds; over a poor line with TLS, several round trips.
    super({ ...session, Client: inTime(limitMs * 0.75), max: size, idleTimeoutMillis: 60_000, maxLifetimeSeconds: 1800 });
    this.#free = size;
    this.#usualMs = limitMs;
    this.#watch = watch;
    // An error on an idle connection ends that connection, and must not end the process.
    this.on("error", () => undefined);
    this.on("connect", (client) => this.#takeIn(client));
    this.on("remove", (client) => this.#clients.delete(client));
    watch.onSilence(() => this.letGo(new NoAnswer("The database does not answer.")));
  }

  override connect(): Promise<pg.PoolClient>;
  override connect(connected: Connected): void;
  override connect(connected?: Connected): Promise<pg.PoolClient> | undefined {
    const client = this.#lend();
    if (!connected) return client;
    client.then(
      (one) => connected(undefined, one, (error) => one.release(error)),
      (error: Error) => connected(error, undefined, () => undefined),
    );
    return undefined;
  }

  /** Ends all connections and all waiting with this error. */
  letGo(error: Error): void {
    for (const waiting of this.#waiting.splice(0)) waiting.giveUp(new NotReached(error.message));
    for (const client of this.#clients) client.connection.stream.destroy(error);
  }

  async #lend(): Promise<pg.PoolClient> {
    const askedMs = ownLimitMs();
    const waitedMs = await this.#turn();
    // Time spent waiting for a connection is taken off the limit of the statement.
    const leftMs = waitedMs < 1000 ? this.#usualMs : Math.max(1000, this.#usualMs - Math.round(waitedMs / 500) * 500);
    const limitMs = askedMs ?? leftMs;
    let client: pg.PoolClient;
    try {
      client = await super.connect().catch((error: Error) => {
        throw new NotReached(`The database was not reached: ${whyNotReached(error)}.`, error);
      });
    } catch (error) {
      this.#passOn();
      throw error;
    }
    const release = client.release.bind(client);
    client.release = (error) => {
      this.#passOn();
      release(error ?? this.#spoiled.has(client));
    };
    this.#limits.set(client, limitMs);
    // A session begins with the usual limit; a round trip is needed only if this statement's differs.
    if (limitMs !== (this.#serverLimits.get(client) ?? this.#usualMs)) {
      try {
        await client.query(`SET statement_timeout = ${limitMs}`);
        this.#serverLimits.set(client, limitMs);
      } catch (error) {
        client.release(true);
        throw new NotReached(`The database was not reached: ${whyNotReached(error)}.`, error);
      }
    }
    return client;
  }

  /** Waits until a connection is free; returns how long that took, in milliseconds. */
  #turn(): Promise<number> {
    if (this.#watch.isSilent) return Promise.reject(new NotReached("The database does not answer."));
    if (this.#free > 0) {
      this.#free -= 1;
      return Promise.resolve(0);
    }
    return new Promise((begun, gaveUp) => {
      const since = performance.now();
      const giveUp = (error: Error): void => {
        stop();
        gaveUp(error);
      };
      const look = (): void => {
        const now = performance.now();
        if (now - since < longestWaitMs && now - this.#answeredAt < quietMs) {
          stop = afterSilence(lookMs, look);
          return;
        }
        this.#waiting.splice(this.#waiting.indexOf(waiting), 1);
        gaveUp(new NotReached("No connection to the database was free in time."));
      };
      let stop = afterSilence(this.#usualMs, look);
      const waiting: Waiting = {
        begin: () => {
          stop();
          begun(performance.now() - since);
        },
        giveUp,
      };
      this.#waiting.push(waiting);
    });
  }

  #passOn(): void {
    const next = this.#waiting.shift();
    if (next) next.begin();
    else this.#free += 1;
  }

  #takeIn(client: pg.PoolClient): void {
    this.#clients.add(client);
    this.#answeredAt = performance.now();
    // While it is lent nobody else may listen for its errors, and an unhandled one would end the process.
    client.on("error", () => undefined);
    const query = client.query.bind(client) as (...given: unknown[]) => unknown;
    client.query = ((...given: unknown[]): unknown => {
      const answered = this.#await(client);
      const last = given.at(-1);
      if (typeof last === "function") {
        given[given.length - 1] = (error: unknown, ...rest: unknown[]): void => {
          answered(error);
          last(error, ...rest);
        };
        return query(...given);
      }
      const answer = query(...given);
      if (answer instanceof Promise) answer.then(() => answered(null), answered);
      return answer;
    }) as typeof client.query;
  }

  /** Begins to wait for the answer to a statement; returns what to call when it is there. */
  #await(client: pg.PoolClient): (error: unknown) => void {
    const limitMs = this.#limits.get(client) ?? this.#usualMs;
    // Long before the limit the server is asked whether it is there: a statement may be slow, but the server has to answer.
    const doubt = afterSilence(this.#usualMs * 0.3, () => void this.#watch.ask());
    const end =
      limitMs === 0
        ? () => undefined
        : afterSilence(limitMs + graceMs, () => client.connection.stream.destroy(new NoAnswer("The database did not answer in time.")));
    return (error) => {
      doubt();
      end();
      if (!(error instanceof NoAnswer)) this.#watch.heard();
      if (!error) this.#answeredAt = performance.now();
      // A server that has become read-only or is shutting down may have been replaced under the same name, so the next use connects anew.
      else if (/^(25006|57P0\d)$/.test(String((error as { code?: unknown }).code))) this.#spoiled.add(client);
    };
  }
}
