// The one seam between the PostgreSQL server and the embedded PostgreSQL. Everything above it is the same on both:
// Prisma for typed reading and writing, `rows` for SQL by hand, `stream`, `notify` and `listen` for what Prisma cannot do.
import { PGlite } from "@electric-sql/pglite";
import { PrismaPg } from "@prisma/adapter-pg";
import { PrismaPGlite } from "pglite-prisma-adapter";
import postgres from "postgres";
import { PrismaClient } from "../../prisma/client/client.ts";
import { lockFolder } from "./folder-lock.ts";
import { lackingMigrations, type Migratable, migrate } from "./migrations.ts";
import { beginAnew, isUnfinished } from "./unfinished.ts";

/** Prisma's client, or the same inside a transaction. */
export type Tx = Omit<PrismaClient, "$connect" | "$disconnect" | "$on" | "$transaction" | "$extends">;

export interface Database {
  readonly kind: "server" | "embedded";
  readonly prisma: PrismaClient;
  /** One statement by hand, a transaction of its own. JSON goes in as text (`$1::text::jsonb`), lists as JSON; cast days to text. */
  rows<Row>(sql: string, parameters?: readonly unknown[]): Promise<Row[]>;
  /** Rows in batches at constant memory; other work goes on between the batches. */
  stream<Row>(sql: string, parameters?: readonly unknown[], batchSize?: number): AsyncIterable<Row[]>;
  /** Tells all processes on this database. */
  notify(channel: Channel, payload: string): Promise<void>;
  /** Hears what `notify` tells; returns how to stop. */
  listen(channel: Channel, heard: (payload: string) => void): Promise<() => Promise<void>>;
  /** Applies what is lacking; names of the migrations applied. */
  migrate(): Promise<string[]>;
  /** Names of the migrations that this database has not had. */
  lackingMigrations(): Promise<string[]>;
  close(): Promise<void>;
}

/** Closed list, so that a channel is never made from outside text. */
export type Channel = "ferrule_sessions" | "ferrule_packs";

// Any number that no other use of the server takes; it keeps two starting processes from migrating at once.
const migrationLockKey = 7_303_014;

/** SQL: the time of the database in milliseconds. */
export const databaseMs = "(extract(epoch FROM clock_timestamp()) * 1000)::float8";

/** What time the database has. */
export async function readDatabaseMs(db: Pick<Database, "rows">): Promise<number> {
  const [row] = await db.rows<{ ms: number }>(`SELECT ${databaseMs} AS ms`);
  if (!row) throw new Error("the database says no time");
  return row.ms;
}

// Prisma gives up after 2 s of waiting for a connection; a burst of a hundred writers on two cores waits longer, and loses nothing by it.
const transactionOptions = { maxWait: 20_000, timeout: 20_000 };

// A server that takes the connection and says nothing is away; the driver would wait for 30 s.
const mostSecondsToConnect = 4;

/** Opens the server that `address` names. Connections are made when first used. */
export function openServer(address: string, poolSize: number): Database {
  // Every statement here is short, and tables that the server has no figures of yet look large to it: compiling one then takes
  // half a second where running it takes a millisecond.
  const adapter = new PrismaPg({ connectionString: address, max: poolSize, options: "-c jit=off" });
  const prisma = new PrismaClient({ adapter, transactionOptions });
  const sql = postgres(address, {
    max: poolSize,
    onnotice: () => undefined,
    connect_timeout: mostSecondsToConnect,
    connection: { application_name: "ferrule", jit: "off" },
  });
  const rows = async <Row>(text: string, parameters: readonly unknown[] = []): Promise<Row[]> => {
    const result = await sql.unsafe(text, [...parameters] as never[], {
      prepare: true,
    });
    return [...result] as Row[];
  };
  const migratable: Migratable = {
    rows,
    script: async (text) => {
      // Many statements sent as one message are one transaction (PostgreSQL documentation, 'Multiple Statements in a Simple Query').
      await sql.unsafe(text).simple();
    },
    alone: async (work) => {
      const held = await sql.reserve();
      try {
        await held`SELECT pg_advisory_lock(${migrationLockKey})`;
        return await work();
      } finally {
        await held`SELECT pg_advisory_unlock(${migrationLockKey})`;
        held.release();
      }
    },
  };
  return {
    kind: "server",
    prisma,
    rows,
    stream: <Row>(text: string, parameters: readonly unknown[] = [], batchSize = 500) =>
      sql.unsafe(text, [...parameters] as never[]).cursor(batchSize) as unknown as AsyncIterable<Row[]>,
    notify: async (channel, payload) => {
      await sql.notify(channel, payload);
    },
    listen: async (channel, heard) => {
      const subscription = await sql.listen(channel, heard);
      return () => subscription.unlisten();
    },
    migrate: () => migrate(migratable),
    lackingMigrations: () => lackingMigrations(migratable),
    close: async () => {
      await prisma.$disconnect();
      await sql.end({ timeout: 5 });
    },
  };
}

/**
 * Opens the embedded database with its files in `folder`, locked against a second process, or in memory for `null`.
 * `image` is a dump to begin from. It is one session: transactions queue, and a power cut can lose the last moments.
 * What an interrupted first start left behind is removed.
 */
export async function openEmbedded(folder: string | null, image?: Blob): Promise<Database> {
  const release = folder === null ? null : await lockFolder(folder);
  const store = folder === null ? null : `${folder}/postgres`;
  if (folder !== null && store !== null && isUnfinished(folder)) await beginAnew(folder, store);
  const lite = new PGlite({ ...(store === null ? {} : { dataDir: store }), ...(image ? { loadDataDir: image } : {}) });
  try {
    await lite.waitReady;
  } catch (error) {
    await release?.();
    throw error;
  }
  return embedded(lite, release);
}

/** The database over an open PGlite; `release` frees what was taken for it. */
export function embedded(lite: PGlite, release: (() => Promise<void>) | null): Database {
  const prisma = new PrismaClient({ adapter: new PrismaPGlite(lite), transactionOptions });
  const rows = async <Row>(text: string, parameters: readonly unknown[] = []): Promise<Row[]> =>
    (await lite.query<Row>(text, [...parameters])).rows;
  const migratable: Migratable = {
    rows,
    script: async (text) => {
      await lite.exec(`BEGIN;\n${text}\nCOMMIT;`);
    },
    alone: (work) => work(),
  };
  let cursors = 0;
  return {
    kind: "embedded",
    prisma,
    rows,
    stream: <Row>(text: string, parameters: readonly unknown[] = [], batchSize = 500) =>
      heldCursor<Row>(lite, `held_${cursors++}`, text, parameters, batchSize),
    notify: async (channel, payload) => {
      await lite.query("SELECT pg_notify($1, $2)", [channel, payload]);
    },
    listen: async (channel, heard) => {
      const stop = await lite.listen(channel, heard);
      return () => stop();
    },
    migrate: () => migrate(migratable),
    lackingMigrations: () => lackingMigrations(migratable),
    close: async () => {
      await prisma.$disconnect();
      if (!lite.closed) await lite.close();
      await release?.();
    },
  };
}

/** A cursor that outlives its transaction, so that the single session is free between two batches. */
async function* heldCursor<Row>(
  lite: PGlite,
  name: string,
  text: string,
  parameters: readonly unknown[],
  batchSize: number,
): AsyncGenerator<Row[]> {
  await lite.query(`DECLARE ${name} CURSOR WITH HOLD FOR ${text}`, [...parameters]);
  try {
    for (;;) {
      const { rows } = await lite.query<Row>(`FETCH ${batchSize} FROM ${name}`);
      if (rows.length === 0) return;
      yield rows;
    }
  } finally {
    await lite.query(`CLOSE ${name}`);
  }
}
