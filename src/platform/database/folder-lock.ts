// The embedded database does not notice a second process on its files, and two writers ruin the store. A listening local
// socket is the lock: the system ends it with its owner, which a file with a process number in it does not promise.
//
// Whoever wants the folder shows a socket under a name of its own, and then looks at the sockets of all others. A name is never used
// twice, so a dead one can be removed by anybody at any time: no live one ever stands in its place. Of two that show theirs at the same
// moment at least one sees the other, and the sockets say how far their owners are: see `mayHold`.
import { randomBytes } from "node:crypto";
import { mkdir, readdir, realpath, rename, rm } from "node:fs/promises";
import { createConnection, createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { digestOf } from "../digest.ts";
import { notWritable } from "../write-once.ts";

// The system's limit for the name of a local socket is a little over 100 bytes.
const longestSocketName = 100;

// A process that has just begun may be busy for seconds before it answers; one that is stopped never does.
const mostMsToAnswer = 10_000;
const askAgainMs = 20;

const newName = (): string => randomBytes(6).toString("hex");
const shortDigest = (path: string): string => digestOf(path).slice(0, 16);

/** Takes the folder for this process, making it where it is missing. Throws if another process holds it. Returns the release. */
export async function lockFolder(folder: string): Promise<() => Promise<void>> {
  await mkdir(folder, { recursive: true, mode: 0o700 }).catch((error: unknown) => {
    throw notWritable(folder, error);
  });
  const real = await realpath(folder);
  const inUse = () =>
    new Error(
      `Another Ferrule process uses the data folder ${folder}. Stop it first, or give this one a folder of its own by FERRULE_DATA.`,
    );
  // The names of this system's sockets go away with their owners, so one name is enough.
  if (process.platform === "win32") return lockName(`\\\\.\\pipe\\ferrule-${shortDigest(real)}`, inUse);
  const claim = await showClaim(await placeOf(real));
  try {
    if (!(await mayHold(claim))) throw inUse();
  } catch (error) {
    await claim.end();
    throw error;
  }
  claim.holds = true;
  return claim.end;
}

/** Where the sockets of a folder lie, and how their names begin. */
interface Place {
  readonly folder: string;
  readonly prefix: string;
}

interface Claim {
  readonly place: Place;
  readonly id: string;
  /** said to whoever asks: this one has the folder, and is not on its way to it */
  holds: boolean;
  readonly end: () => Promise<void>;
}

async function placeOf(folder: string): Promise<Place> {
  const inside = { folder, prefix: "in-use" };
  if (Buffer.byteLength(socketOf(inside, newName())) <= longestSocketName) return inside;
  return { folder: await realpath(tmpdir()), prefix: `ferrule-${shortDigest(folder)}` };
}

const socketOf = ({ folder, prefix }: Place, id: string): string => join(folder, `${prefix}.${id}.socket`);

/** A socket that listens is given its name only then: whoever finds a name that does not answer knows that its owner is gone. */
async function showClaim(place: Place): Promise<Claim> {
  const id = newName();
  const hidden = join(place.folder, `${place.prefix}.${id}.new`);
  const shown = socketOf(place, id);
  const server = createServer((socket) => {
    socket.on("error", () => undefined);
    socket.end(claim.holds ? "holds" : "wants");
  });
  const claim: Claim = {
    place,
    id,
    holds: false,
    end: async () => {
      await rm(shown, { force: true });
      await new Promise<void>((done) => server.close(() => done()));
    },
  };
  await listen(server, hidden);
  await rename(hidden, shown);
  return claim;
}

/**
 * Whether the folder is ours. Of those who want it the last in the order of names goes on without asking, and gives up at once where it sees
 * anybody before it. So nobody waits for one who waits, one of them gets it, and never two: of two that hold it one would have seen the other.
 */
async function mayHold({ place, id }: Claim): Promise<boolean> {
  for (const other of await othersAt(place, id)) {
    const giveUpAt = Date.now() + mostMsToAnswer;
    for (let said = false; ; said = true) {
      const says = await ask(join(place.folder, other.file));
      if (says === "gone") {
        await rm(join(place.folder, other.file), { force: true });
        break;
      }
      // Cut off in its answer it may have ended. What says nothing again, or nothing that is known, is alive and may hold the folder.
      if (says === "" && !said) continue;
      if (says !== "wants" || other.id < id || Date.now() > giveUpAt) return false;
      await new Promise((done) => setTimeout(done, askAgainMs));
    }
  }
  return true;
}

async function othersAt({ folder, prefix }: Place, own: string): Promise<{ id: string; file: string }[]> {
  const files = await readdir(folder);
  return files.flatMap((file) => {
    if (!file.startsWith(prefix) || !file.endsWith(".socket")) return [];
    // Empty for the one name that an earlier Ferrule used: it comes before every other.
    const id = file.slice(prefix.length + 1, -".socket".length);
    return id === own ? [] : [{ id, file }];
  });
}

/** What stands there: nobody any more, or whatever it says. */
function ask(address: string): Promise<string> {
  return new Promise((done, failed) => {
    const socket = createConnection(address).setEncoding("utf8").setTimeout(mostMsToAnswer);
    let said = "";
    socket.on("data", (text: string) => {
      said += text;
    });
    socket.once("timeout", () => {
      done("silent");
      socket.destroy();
    });
    socket.once("close", () => done(said));
    socket.once("error", (error: NodeJS.ErrnoException) => {
      // The last is a file that is no socket, such as one that was copied or half written.
      if (["ECONNREFUSED", "ENOENT", "ENOTSOCK"].includes(error.code ?? "")) done("gone");
      // Full of others who ask at this moment, or gone while it answered: asked again.
      else if (["EAGAIN", "ECONNRESET", "EPIPE"].includes(error.code ?? "")) done("wants");
      else failed(error);
    });
  });
}

async function lockName(address: string, inUse: () => Error): Promise<() => Promise<void>> {
  const server = createServer((socket) => socket.destroy());
  await listen(server, address).catch((error: NodeJS.ErrnoException) => {
    throw error.code === "EADDRINUSE" ? inUse() : error;
  });
  return () => new Promise((done) => server.close(() => done()));
}

function listen(server: Server, address: string): Promise<void> {
  return new Promise((done, failed) => {
    server.once("error", failed);
    server.listen(address, () => {
      server.unref();
      done();
    });
  });
}
