// A way to the server that can be cut, once, where it hurts: what is sent for a statement is let through or not, and its answer never.
import { type AddressInfo, createServer, type Server, type Socket, connect as toServer } from "node:net";

/** `answered`: the server has done it and said so. `sent`: it may be at it still. `not sent`: it never hears of it. */
export type CutWhen = "answered" | "sent" | "not sent";

export interface CutProxy {
  /** the same database by way of this proxy */
  readonly through: (server: URL) => URL;
  /** Cuts the connection that next sends bytes with `words` in them; settles once it is cut. */
  cutNext(words: string, when: CutWhen): Promise<void>;
  /** takes no new connections from here on, and cuts those that there are */
  leave(): void;
  comeBack(): void;
  close(): Promise<void>;
}

// ReadyForQuery of a session that is in no transaction (PostgreSQL documentation, 'Message Formats'): what was sent is committed.
const ready = Buffer.from([0x5a, 0, 0, 0, 5, 0x49]);

export async function openCutProxy(): Promise<CutProxy> {
  let upstream: { port: number; host: string } | undefined;
  let away = false;
  let wanted: { readonly words: string; readonly when: CutWhen; readonly done: () => void } | undefined;
  const open = new Set<Socket>();

  const serve = (client: Socket): void => {
    if (away || !upstream) return void client.destroy();
    const server = toServer(upstream);
    let cutting: typeof wanted;
    const cut = (): void => {
      client.destroy();
      // The server goes on with what it got, and nobody hears its answer.
      if (cutting?.when !== "sent") server.destroy();
    };
    for (const socket of [client, server]) {
      open.add(socket);
      socket
        .on("error", () => undefined)
        .on("close", () => {
          open.delete(socket);
          cut();
        });
    }
    client.on("data", (bytes: Buffer) => {
      if (wanted && bytes.includes(wanted.words)) {
        cutting = wanted;
        wanted = undefined;
      }
      if (cutting?.when === "not sent") {
        cutting.done();
        return cut();
      }
      server.write(bytes, () => {
        if (cutting?.when !== "sent") return;
        cutting.done();
        cut();
      });
    });
    server.on("data", (bytes: Buffer) => {
      if (cutting === undefined) return void client.write(bytes);
      if (cutting.when !== "answered" || !bytes.subarray(-ready.length).equals(ready)) return;
      cutting.done();
      cut();
    });
  };
  const proxy: Server = createServer(serve);
  await new Promise<void>((done) => proxy.listen(0, "127.0.0.1", done));

  return {
    through: (server) => {
      upstream = { host: server.hostname, port: Number(server.port || 5432) };
      return Object.assign(new URL(server), { hostname: "127.0.0.1", port: String((proxy.address() as AddressInfo).port) });
    },
    cutNext: (words, when) =>
      new Promise<void>((done) => {
        wanted = { words, when, done };
      }),
    leave: () => {
      away = true;
      for (const socket of open) socket.destroy();
    },
    comeBack: () => {
      away = false;
    },
    close: async () => {
      for (const socket of open) socket.destroy();
      await new Promise((done) => proxy.close(done));
    },
  };
}
