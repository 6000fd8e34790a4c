// The embedded database does not notice a second process on its files, and two writers ruin the store. A listening local
// socket is the lock: the system frees it when its owner dies, which a file with a process number in it does not promise.
import { createHash } from "node:crypto";
import { mkdir, realpath, rm } from "node:fs/promises";
import { createConnection, createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";

// The system's limit for the name of a local socket is a little over 100 bytes.
const longestSocketName = 100;

/** Takes the folder for this process, making it where it is missing. Throws if another process holds it. Returns the release. */
export async function lockFolder(folder: string): Promise<() => Promise<void>> {
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const address = await socketAddress(folder);
  const server = await listen(address).catch(async (error: NodeJS.ErrnoException) => {
    if (error.code !== "EADDRINUSE") throw error;
    if (await answers(address)) {
      throw new Error(
        `Another Ferrule process uses the data folder ${folder}. Stop it first, or give this one a folder of its own by FERRULE_DATA.`,
      );
    }
    await rm(address, { force: true });
    return listen(address);
  });
  return () => new Promise((done) => server.close(() => done()));
}

async function socketAddress(folder: string): Promise<string> {
  const real = await realpath(folder);
  if (process.platform === "win32") return `\\\\.\\pipe\\ferrule-${digest(real)}`;
  const inside = join(real, "in-use.socket");
  return Buffer.byteLength(inside) <= longestSocketName ? inside : join(tmpdir(), `ferrule-${digest(real)}.socket`);
}

const digest = (text: string): string => createHash("sha256").update(text).digest("hex").slice(0, 24);

function listen(address: string): Promise<Server> {
  return new Promise((done, failed) => {
    const server = createServer((socket) => socket.destroy());
    server.once("error", failed);
    server.listen(address, () => {
      server.unref();
      done(server);
    });
  });
}

function answers(address: string): Promise<boolean> {
  return new Promise((done) => {
    const socket = createConnection(address);
    socket.once("connect", () => {
      socket.destroy();
      done(true);
    });
    socket.once("error", () => done(false));
  });
}
