// The one seam between the PostgreSQL server and the embedded PostgreSQL. Everything above it is the same on both:
// Prisma for typed reading and writing, `rows` for SQL by hand, `stream`, `notify` and `listen` for what Prisma cannot do.
import { PGlite } from "@electric-sql/pglite";
import { PrismaPGlite } from "pglite-prisma-adapter";
import { z } from "zod";
import { PrismaClient } from "../../../prisma/client/client.ts";
import { lockFolder } from "./folder-lock.ts";
import { type Migratable, migrate, type SchemaState, schemaState } from "./migrations.ts";
import { type Ask, type Statement, statement } from "./statement.ts";
import { beginAnew, isUnfinished } from "./unfinished.ts";

/** Prisma's client, or the same inside a transaction. */
export type Tx = Omit<PrismaClient, "$connect" | "$disconnect" | "$on" | "$transaction" | "$extends">;

export interface Database {
  readonly kind: "server" | "embedded";
  readonly prisma: PrismaClient;
  /** One statement by hand, a transaction of its own. JSON goes in as text (`$1::text::jsonb`), lists as JSON; cast days to text. */
  readonly rows: Ask;
  /** Statements by hand inside the transaction that Prisma has opened. */
  rowsIn(tx: Tx): Ask;
  /** Rows in batches at constant memory; other work goes on between the batches. */
  stream<Row>(asked: Statement<Row>, parameters?: readonly unknown[], batchSize?: number): AsyncIterable<Row[]>;
  /** Tells all processes on this database. */
  notify(channel: Channel, payload: string): Promise<void>;
  /** Hears what `notify` tells; returns how to stop. */
  listen(channel: Channel, heard: (payload: string) => void): Promise<() => Promise<void>>;
  /** Applies what is pending; names of the migrations applied. */
  migrate(): Promise<string[]>;
  /** Compares the migrations applied to it with those of this code. */
  schemaState(): Promise<SchemaState>;
  close(): Promise<void>;
}

/** A closed list, so that a channel's name never comes from input. */
export type Channel = "ferrule_sessions" | "ferrule_packs";

/** `rowsIn` of both databases: the transaction is Prisma's on either. */
export const rowsIn =
  (tx: Tx): Ask =>
  (asked, parameters = []) =>
    tx.$queryRawUnsafe(asked.sql, ...parameters);

/** SQL: the database's time in milliseconds since 1970. */
export const databaseMs = "(extract(epoch FROM clock_timestamp()) * 1000)::float8";

const timeRows = statement({ ms: z.number() }, `SELECT ${databaseMs} AS ms`);

/** The database's time in milliseconds since 1970. */
export async function readDatabaseMs(db: Pick<Database, "rows">): Promise<number> {
  const [row] = await db.rows(timeRows);
  if (!row) throw new Error("the database says no time");
  return row.ms;
}

// Prisma gives up after 2 s of waiting for a connection; a burst of a hundred writers on two cores waits longer, and loses nothing by it.
export const transactionOptions = { maxWait: 20_000, timeout: 20_000 };

/**
 * Opens the embedded database with its files in `folder`, locked against a second process.
 * It has one session, so transactions queue; a power cut can lose the last moments.
 * Data of an interrupted first start is removed.
 */
export async function openEmbedded(folder: string): Promise<Database> {
  const release = await lockFolder(folder);
  try {
    const store = `${folder}/postgres`;
    if (isUnfinished(folder)) await beginAnew(folder, store);
    const lite = new PGlite({ dataDir: store });
    await lite.waitReady;
    return embedded(lite, release);
  } catch (error) {
    await release();
    throw error;
  }
}

/** The database over an open PGlite; `release` frees the folder's lock, if one was taken. */
export function embedded(lite: PGlite, release: (() => Promise<void>) | null): Database {
  const prisma = new PrismaClient({ adapter: new PrismaPGlite(lite), transactionOptions });
  const rows: Ask = async <Row>(asked: Statement<Row>, parameters: readonly unknown[] = []) =>
    (await lite.query<Row>(asked.sql, [...parameters])).rows;
  const migratable: Migratable = {
    rows,
    script: async (text) => {
      await lite.exec(`BEGIN;\n${text}\nCOMMIT;`);
    },
    withMigrationLock: (work) => work(),
  };
  let cursors = 0;
  return {
    kind: "embedded",
    prisma,
    rows,
    rowsIn,
    stream: <Row>(asked: Statement<Row>, parameters: readonly unknown[] = [], batchSize = 500) =>
      heldCursor<Row>(lite, `held_${cursors++}`, asked.sql, parameters, batchSize),
    notify: async (channel, payload) => {
      await lite.query("SELECT pg_notify($1, $2)", [channel, payload]);
    },
    listen: async (channel, heard) => {
      const stop = await lite.listen(channel, heard);
      return () => stop();
    },
    migrate: () => migrate(migratable),
    schemaState: () => schemaState(migratable),
    close: async () => {
      // Each step runs even if the one before failed: a folder that stays locked would prevent the next start.
      try {
        await prisma.$disconnect();
      } finally {
        try {
          if (!lite.closed) await lite.close();
        } finally {
          await release?.();
        }
      }
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
