// A clean migrated database for one test file: a copy of the template, on the embedded database or on the server.
import { readFile } from "node:fs/promises";
import { PGlite } from "@electric-sql/pglite";
import postgres from "postgres";
import { inject } from "vitest";
import { embedded, openServer } from "../../src/platform/index.ts";
import { checkedRows, type TestDatabase } from "./checked-rows.ts";

/** Whether several sessions really run side by side here; the embedded database has one. */
export const onServer = (): boolean => "server" in inject("template");

// Beside twenty busy processes a statement takes seconds; what hangs is tested with the limits of the service (tests/faults).
const limitMs = 30_000;

let opened = 0;

/** Bytes as the embedded database asks for them: an ordinary Blob hands out a copy made of many small pieces, which takes longer than all the rest of opening. */
class WholeBlob extends Blob {
  readonly #bytes: ArrayBuffer;

  constructor(file: Buffer) {
    super();
    this.#bytes = file.buffer.slice(file.byteOffset, file.byteOffset + file.byteLength) as ArrayBuffer;
  }

  override async arrayBuffer(): Promise<ArrayBuffer> {
    return this.#bytes;
  }
}

/** What PostgreSQL itself consists of, read and compiled once in a process: every database that is opened runs the code that the ones before it have made fast. */
let program: Promise<{ pgliteWasmModule: WebAssembly.Module; fsBundle: Blob }> | null = null;
const theProgram = () => {
  const part = (name: string) => readFile(new URL(name, import.meta.resolve("@electric-sql/pglite")));
  program ??= Promise.all([part("pglite.wasm").then((bytes) => WebAssembly.compile(bytes)), part("pglite.data")]).then(
    ([pgliteWasmModule, files]) => ({ pgliteWasmModule, fsBundle: new WholeBlob(files) }),
  );
  return program;
};

/** An embedded database in memory that begins from this image; nothing of it is on a disk, so no setting for durability costs anything. */
export async function openInMemory(image: string): Promise<PGlite> {
  const lite = new PGlite({ ...(await theProgram()), loadDataDir: new WholeBlob(await readFile(image)) });
  await lite.waitReady;
  return lite;
}

const top = new URL("../../", import.meta.url);

/** Any server that tests have, as `openServer` opens it. */
export const openTestServer = (...how: Parameters<typeof openServer>): TestDatabase => checkedRows(openServer(...how));

export interface TestDatabaseOptions {
  readonly poolSize?: number;
  /** through a role of its own with the grants of prisma/service-role.sql */
  readonly weaker?: boolean;
  /** by another way to the same server, such as a proxy; the embedded database has one way only */
  readonly through?: (server: URL) => URL;
  /** another template than the empty one: the file of an image, or the name of a database on the server */
  readonly like?: string | null;
}

/** Opens a clean database; `close` also removes it. */
export async function openTestDatabase({
  poolSize = 8,
  weaker = false,
  through,
  like = null,
}: TestDatabaseOptions = {}): Promise<TestDatabase> {
  const template = inject("template");
  if ("image" in template) return checkedRows(embedded(await openInMemory(like ?? template.image), null));

  const name = `ferrule_test_${process.pid}_${opened++}`;
  const admin = postgres(template.server, { max: 1, onnotice: () => undefined });
  await admin.unsafe(`CREATE DATABASE ${name} TEMPLATE ${like ?? template.database}`);
  const address = Object.assign(new URL(template.server), { pathname: `/${name}` });
  const role = `${name}_role`;
  if (weaker) {
    const owner = postgres(address.href, { max: 1, onnotice: () => undefined });
    await owner.unsafe(`CREATE ROLE ${role} LOGIN`);
    await owner.unsafe((await readFile(new URL("prisma/service-role.sql", top), "utf8")).replaceAll(':"role"', role));
    await owner.end();
    Object.assign(address, { username: role, password: "" });
  }
  const db = openTestServer((through?.(address) ?? address).href, poolSize, limitMs);
  return {
    ...db,
    close: async () => {
      await db.close();
      await admin.unsafe(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
      if (weaker) await admin.unsafe(`DROP ROLE ${role}`);
      await admin.end();
    },
  };
}
