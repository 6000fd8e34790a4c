// A line between the service and a server that can fail as lines do: it goes silent in both directions, only swallows answers, or is cut.
import { type AddressInfo, connect, createServer, type Socket } from "node:net";

export interface Line {
  readonly port: number;
  /** `passes`: as if it were not there; `silent`: nothing goes either way, new connections too are taken and never served; `deaf`: what is
   * asked arrives, what is answered does not; `cut`: connections are ended, and new ones too */
  set(state: "passes" | "silent" | "deaf" | "cut"): void;
  /** From now on this one connection, by its number from 1, brings no answers; all others do. */
  deafen(connection: number): void;
  /** How many connections it has ever taken. */
  taken(): number;
  close(): Promise<void>;
}

interface Pair {
  readonly near: Socket;
  readonly far: Socket;
  isDeaf: boolean;
}

export async function openLine(port: number, host = "127.0.0.1"): Promise<Line> {
  const lines = new Set<Pair>();
  let state: Parameters<Line["set"]>[0] = "passes";
  let taken = 0;
  const all: Pair[] = [];

  const apply = (line: Pair): void => {
    if (state === "cut") {
      line.near.destroy();
      line.far.destroy();
      return;
    }
    if (state === "silent") line.near.pause();
    else line.near.resume();
    if (state === "passes" && !line.isDeaf) line.far.resume();
    else line.far.pause();
  };

  const server = createServer((near) => {
    taken += 1;
    const far = connect(port, host);
    const line: Pair = { near, far, isDeaf: false };
    lines.add(line);
    all.push(line);
    const end = (): void => {
      lines.delete(line);
      near.destroy();
      far.destroy();
    };
    for (const socket of [near, far]) socket.on("error", () => undefined).on("close", end);
    near.on("data", (chunk) => far.write(chunk));
    far.on("data", (chunk) => near.write(chunk));
    apply(line);
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  return {
    port: (server.address() as AddressInfo).port,
    set: (next) => {
      state = next;
      for (const line of lines) apply(line);
    },
    deafen: (connection) => {
      const line = all[connection - 1];
      if (!line) throw new Error(`there was no connection ${connection}`);
      line.isDeaf = true;
      apply(line);
    },
    taken: () => taken,
    close: async () => {
      state = "cut";
      for (const line of lines) apply(line);
      await new Promise((done) => server.close(done));
    },
  };
}
