// The database as a PostgreSQL server. One driver (`pg`) and one pool carry everything: Prisma, statements by hand, streams.
import { PrismaPg } from "@prisma/adapter-pg";
import pg from "pg";
import { PrismaClient } from "../../../prisma/client/client.ts";
import { fewestConnections } from "../config.ts";
import { type Database, rowsIn, transactionOptions } from "./database.ts";
import { NotReached } from "./database-away.ts";
import { type Migratable, migrate, schemaState } from "./migrations.ts";
import { defaultLimitMs, patiently, withoutLimit } from "./patience.ts";
import { readServerAddress } from "./server-address.ts";
import { ServerPool, sessionOf } from "./server-pool.ts";
import { ServerWatch } from "./server-watch.ts";
import { command, type Statement } from "./statement.ts";

// An arbitrary number for the advisory lock that keeps two starting processes from migrating at once.
const migrationLockKey = 7_303_014;

// A change of a table waits for its present users, and everybody else waits behind it: so it gives up soon, and tries again.
const mostTries = 60;
const pauseMs = 1000;

const mostMsToClose = 5000;

const notifies = command("SELECT pg_notify($1, $2)");

/** A reader that takes nothing for so long gives its connection back. */
const mostMsBetweenBatches = 300_000;

/**
 * Opens the server that `address` names, with at most `connections` connections, made when first used. A statement may take `limitMs` unless it
 * asks for more; a server that stops answering is noticed within that time. Throws one sentence if the address cannot be used.
 */
export function openServer(address: string, connections: number, limitMs = defaultLimitMs): Database {
  const session = sessionOf(readServerAddress(address), limitMs);
  const watch = new ServerWatch(session, limitMs);
  const most = Math.max(connections, fewestConnections) - 1;
  const pool = new ServerPool(session, most, limitMs, watch);
  const prisma = new PrismaClient({ adapter: new PrismaPg(pool), transactionOptions });
  const streams = seats(Math.max(1, Math.floor((most * 3) / 4)));

  const migratable: Migratable = {
    rows,
    script: async (text) => {
      for (let left = mostTries; ; left -= 1) {
        try {
          // Many statements sent as one message are one transaction (PostgreSQL documentation, 'Multiple Statements in a Simple Query').
          await lent((client) => client.query(`SET LOCAL lock_timeout = ${limitMs};\n${text}`));
          return;
        } catch (error) {
          if (left <= 1 || (error as { code?: unknown }).code !== "55P03") throw error;
          await new Promise((done) => setTimeout(done, pauseMs));
        }
      }
    },
    withMigrationLock: (work) =>
      lent(async (client) => {
        await client.query("SELECT pg_advisory_lock($1)", [migrationLockKey]);
        try {
          return await work();
        } finally {
          await client.query("SELECT pg_advisory_unlock($1)", [migrationLockKey]);
        }
      }),
  };

  async function rows<Row>(asked: Statement<Row>, parameters: readonly unknown[] = []): Promise<Row[]> {
    const result = await lent((client) => answered(client, asked.sql, parameters));
    return result.rows as Row[];
  }

  async function lent<T>(work: (client: pg.PoolClient) => Promise<T>): Promise<T> {
    const client = await pool.connect();
    try {
      const done = await work(client);
      client.release();
      return done;
    } catch (error) {
      // After a statement that the server refused, the connection is still usable.
      const isRefusal = error instanceof pg.DatabaseError && error.severity === "ERROR";
      client.release(!isRefusal);
      throw error;
    }
  }

  return {
    kind: "server",
    prisma,
    rows,
    rowsIn,
    stream: (asked, parameters = [], batchSize = 500) => cursor(pool, streams, asked.sql, parameters, batchSize),
    notify: async (channel, payload) => {
      await rows(notifies, [channel, payload]);
    },
    listen: (channel, heard) => watch.listen(channel, heard),
    migrate: () => withoutLimit(() => migrate(migratable)),
    schemaState: () => schemaState(migratable),
    close: async () => {
      // Connections that still hang after that are cut off.
      const cut = setTimeout(() => pool.letGo(new NotReached("the database is closed")), mostMsToClose);
      const closed = await Promise.allSettled([prisma.$disconnect(), watch.close(), pool.end()]);
      clearTimeout(cut);
      const failed = closed.find((one) => one.status === "rejected");
      if (failed) throw failed.reason;
    },
  };
}

const names = new Map<string, string>();

/** The name under which a connection keeps this statement prepared: each text has one. */
function nameOf(text: string): string {
  const name = names.get(text) ?? `s${names.size}`;
  names.set(text, name);
  return name;
}

async function answered(client: pg.PoolClient, text: string, values: readonly unknown[]): Promise<pg.QueryResult> {
  try {
    return await client.query({ name: nameOf(text), text, values: [...values] });
  } catch (error) {
    // Another process has applied a migration that changed the statement's result type; the statement was not run.
    if ((error as { routine?: unknown }).routine !== "RevalidateCachedQuery") throw error;
    return client.query({ text, values: [...values] });
  }
}

type Seats = () => Promise<() => void>;

/** Lets `most` in at once; the next one waits until one leaves. */
function seats(most: number): Seats {
  const waiting: (() => void)[] = [];
  let taken = 0;
  const leave = (): void => {
    taken -= 1;
    waiting.shift()?.();
  };
  return async () => {
    while (taken >= most) await new Promise<void>((free) => waiting.push(free));
    taken += 1;
    return leave;
  };
}

/** Rows in batches from a cursor, which uses one connection; the number of cursors at once is limited, so that others get connections too. */
async function* cursor<Row>(
  pool: ServerPool,
  seat: Seats,
  text: string,
  parameters: readonly unknown[],
  batchSize: number,
): AsyncGenerator<Row[]> {
  const leave = await seat();
  try {
    const client = await patiently(() => pool.connect());
    let fault: Error | undefined = new Error("the reader went away");
    try {
      // All rows will be read, so the server must not choose the plan that is fastest for the first rows.
      await client.query("BEGIN READ ONLY; SET LOCAL cursor_tuple_fraction = 1");
      await client.query({ text: `DECLARE batches NO SCROLL CURSOR FOR ${text}`, values: [...parameters] });
      for (;;) {
        const { rows } = await client.query(`FETCH ${batchSize} FROM batches`);
        if (rows.length === 0) break;
        const idle = setTimeout(() => client.connection.stream.destroy(new Error("nobody reads")), mostMsBetweenBatches);
        yield rows as Row[];
        clearTimeout(idle);
      }
      await client.query("COMMIT");
      fault = undefined;
    } finally {
      // If the cursor was not read to its end, its connection is closed with it.
      client.release(fault);
    }
  } finally {
    leave();
  }
}
