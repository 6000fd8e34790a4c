// The embedded database does not notice a second process on its files, and two writers destroy the store. The lock is a listening local socket:
// the operating system closes it when its owner ends, which a file with a process number cannot promise.
//
// A process that wants the folder creates a socket under a name of its own, and then looks at the sockets of all others. A name is never used
// twice, so anybody may remove a dead one at any time: it cannot have become a live one. Of two processes that create theirs at the same moment
// at least one sees the other, and each socket tells whether its owner has the folder or only wants it: see `mayHold`.
import { randomBytes } from "node:crypto";
import { mkdir, readdir, realpath, rename, rm } from "node:fs/promises";
import { createConnection, createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { digestOf } from "../digest.ts";
import { notWritable } from "../write-once.ts";

// The system's limit for the name of a local socket is a little over 100 bytes.
const longestSocketName = 100;

// A process that is just starting may be busy for seconds before it answers; one that is suspended never answers.
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
  // On this system a socket's name disappears with its owner, so one fixed name is enough.
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
  /** what the socket answers: this process has the folder (else it only wants it) */
  holds: boolean;
  readonly end: () => Promise<void>;
}

async function placeOf(folder: string): Promise<Place> {
  const inside = { folder, prefix: "in-use" };
  if (Buffer.byteLength(socketOf(inside, newName())) <= longestSocketName) return inside;
  return { folder: await realpath(tmpdir()), prefix: `ferrule-${shortDigest(folder)}` };
}

const socketOf = ({ folder, prefix }: Place, id: string): string => join(folder, `${prefix}.${id}.socket`);

/** The socket gets its name only once it listens: so a name that does not answer means that its owner is gone. */
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
 * Whether the folder is ours. A process gives up at once if another has the folder, or wants it and comes before it in the order of names; it waits
 * only for those after it, to give up. So no two wait for each other, and never do two get it, because one of them would have seen the other.
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
      // If the answer broke off, its owner may just have ended: it is asked once more. One that says nothing again, or something unknown, is
      // alive and may have the folder.
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
    // Empty for the one name that an earlier version used, which so comes before every other.
    const id = file.slice(prefix.length + 1, -".socket".length);
    return id === own ? [] : [{ id, file }];
  });
}

/** What the socket at an address answers; `gone` if nobody listens there any more. */
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
      // ENOTSOCK: the file is no socket, for instance one that was copied.
      if (["ECONNREFUSED", "ENOENT", "ENOTSOCK"].includes(error.code ?? "")) done("gone");
      // Too many others are asking at this moment, or it ended while it answered: asked again.
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
