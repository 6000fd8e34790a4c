// A database that nobody reaches any more once the next act is stored: whatever follows on it fails.
import type { Database } from "../../src/platform/index.ts";

export interface Severable {
  readonly db: Database;
  /** From the next act that is stored on, nothing is reached. */
  afterNext(): void;
  /** Everything is reached again; whether anything was stored meanwhile. */
  mend(): { readonly stored: boolean };
}

const writes = /INSERT INTO (ledger|photo|refresh_token) /;

export function severable(real: Database): Severable {
  let state: "whole" | "armed" | "severed" = "whole";
  const reach = async <T>(work: () => Promise<T>, stores: (answer: T) => boolean): Promise<T> => {
    if (state === "severed") throw Object.assign(new Error("the connection was lost"), { code: "CONNECTION_CLOSED" });
    const armed = state === "armed";
    const answer = await work();
    if (armed && stores(answer)) state = "severed";
    return answer;
  };
  const never = () => false;
  const delegate = (target: object): object =>
    new Proxy(target, {
      get: (of, name) => {
        const value: unknown = Reflect.get(of, name);
        if (typeof value !== "function") return value;
        return (...given: unknown[]) => reach(async () => await Reflect.apply(value, of, given), never);
      },
    });
  const prisma = new Proxy(real.prisma, {
    get: (of, name) => {
      const value: unknown = Reflect.get(of, name);
      if (name === "$transaction") {
        return (...given: unknown[]) =>
          reach(
            async () => (await Reflect.apply(value as () => unknown, of, given)) as unknown,
            () => true,
          );
      }
      if (name === "$disconnect") return value;
      if (typeof value === "function") {
        return (...given: unknown[]) => reach(async () => await Reflect.apply(value, of, given), never);
      }
      return typeof value === "object" && value !== null ? delegate(value) : value;
    },
  });
  return {
    db: {
      ...real,
      prisma,
      rows: (asked, parameters) =>
        reach(
          () => real.rows(asked, parameters),
          (answer) => writes.test(asked.sql) && answer.length > 0,
        ),
      notify: (channel, payload) => reach(() => real.notify(channel, payload), never),
    },
    afterNext: () => {
      state = "armed";
    },
    mend: () => {
      const was = { stored: state === "severed" };
      state = "whole";
      return was;
    },
  };
}
