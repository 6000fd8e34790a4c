// A PostgreSQL server of a test's own, to stop and start and to give a certificate: made in a temporary folder, by a user who may.
import { execFileSync, spawn } from "node:child_process";
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { type AddressInfo, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";

const debian = "/usr/lib/postgresql";
const folders = [
  ...(existsSync(debian) ? readdirSync(debian).map((version) => `${debian}/${version}/bin`) : []),
  ...(process.env["PATH"] ?? "").split(":"),
];
const binaries = folders.find((folder) => existsSync(join(folder, "initdb")) && existsSync(join(folder, "postgres")));

/** A server refuses to run as root; there it runs as the user that its package made. */
const user = ((): { readonly uid?: number; readonly gid?: number } | null => {
  if (process.getuid?.() !== 0) return {};
  const idOf = (what: string): number => Number(execFileSync("id", [what, "postgres"], { stdio: ["ignore", "pipe", "ignore"] }));
  try {
    return { uid: idOf("-u"), gid: idOf("-g") };
  } catch {
    return null;
  }
})();

/** Why there can be no server of one's own here; null where there can. */
export const noCluster: string | null =
  binaries === undefined ? "no initdb is installed" : user === null ? "as root it takes a user postgres" : null;

export interface Cluster {
  readonly port: number;
  readonly folder: string;
  /** the address of a database of it */
  address(database?: string): string;
  /** Ends it at once, as a crash would, or after its sessions were cut off. */
  stop(how?: "at-once" | "in-order"): Promise<void>;
  /** Gives a file to the user that the server runs as. */
  own(file: string): void;
  /** Does nothing where it runs. */
  start(): Promise<void>;
  /** Stops it and removes its folder. */
  remove(): Promise<void>;
}

const freePort = (): Promise<number> =>
  new Promise((found) => {
    const server = createServer().listen(0, "127.0.0.1", () => {
      const { port } = server.address() as AddressInfo;
      server.close(() => found(port));
    });
  });

/** Makes a server and starts it. */
export async function makeCluster(): Promise<Cluster> {
  if (binaries === undefined || user === null) throw new Error(noCluster ?? "");
  const port = await freePort();
  const folder = mkdtempSync(join(tmpdir(), "ferrule-cluster-"));
  const own = (file: string): void => {
    if (user.uid !== undefined && user.gid !== undefined) chownSync(file, user.uid, user.gid);
  };
  own(folder);
  const data = join(folder, "data");
  execFileSync(join(binaries, "initdb"), ["-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"], {
    ...user,
    cwd: folder,
    stdio: "ignore",
  });
  let running: ReturnType<typeof spawn> | null = null;
  const address = (database = "postgres"): string => `postgres://postgres@127.0.0.1:${port}/${database}`;

  const start = async (): Promise<void> => {
    if (running) return;
    const fixed = ["listen_addresses=127.0.0.1", "unix_socket_directories=", "fsync=off"].flatMap((one) => ["-c", one]);
    running = spawn(join(binaries, "postgres"), ["-D", data, "-p", String(port), ...fixed], { ...user, cwd: folder, stdio: "ignore" });
    while (!(await answers(address()))) await new Promise((done) => setTimeout(done, 100));
  };
  const stop = async (how: "at-once" | "in-order" = "in-order"): Promise<void> => {
    const process = running;
    running = null;
    if (!process) return;
    const ended = new Promise<void>((done) => process.once("exit", () => done()));
    // PostgreSQL documentation, 'Shutting Down the Server': fast and immediate.
    process.kill(how === "in-order" ? "SIGINT" : "SIGQUIT");
    await ended;
  };
  await start();
  return {
    ...{ port, folder, address, own, start, stop },
    remove: async () => {
      await stop("at-once");
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function answers(address: string): Promise<boolean> {
  const client = new pg.Client({ connectionString: address });
  client.on("error", () => undefined);
  try {
    await client.connect();
    return true;
  } catch {
    return false;
  } finally {
    await client.end().catch(() => undefined);
  }
}
