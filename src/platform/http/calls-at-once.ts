// How many calls of one sort may be under way in a process: whoever waits holds memory, and one who would wait too long is told so at once.
import type { ServerResponse } from "node:http";
import { tooManyWaiting } from "../database/batch.ts";

/** What makes a call heavy. */
export type Heavy = "photo" | "import" | "paper" | "secret";

const mostAtOnce: Readonly<Record<Heavy | "any", number>> = {
  // Each holds what was sent, 10 MB at most, from its first byte on; two are looked at in a moment.
  photo: 24,
  // One file takes the database some seconds.
  import: 4,
  // Drawn one beside the other, a second or so each; records are read through a connection of their own.
  paper: 12,
  // A secret is weighed in a few hundredths of a second, four in a moment.
  secret: 120,
  // As many as a burst of a large fleet brings.
  any: 1000,
};

/** Lets a call in until its answer is sent or given up. Throws `not-ready` where too many of its sort are under way. */
export type Door = (heavy: Heavy | undefined, response: ServerResponse) => void;

/** The door of one service. */
export function openDoor(): Door {
  const underWay = new Map<Heavy | "any", number>();
  return (heavy, response) => {
    const sort = heavy ?? "any";
    const now = underWay.get(sort) ?? 0;
    if (now >= mostAtOnce[sort]) throw tooManyWaiting();
    underWay.set(sort, now + 1);
    let inside = true;
    const leave = (): void => {
      if (inside) underWay.set(sort, (underWay.get(sort) ?? 1) - 1);
      inside = false;
    };
    response.once("finish", leave).once("close", leave);
  };
}
