// How many calls of one sort may be under way in a process. A waiting call takes memory, so a call beyond the limit is refused at once.
import type { ServerResponse } from "node:http";
import { tooManyWaiting } from "../database/batch.ts";

/** What makes a call heavy. */
export type Heavy = "photo" | "import" | "paper" | "secret";

const mostAtOnce: Readonly<Record<Heavy | "any", number>> = {
  // Each keeps what was sent in memory, 10 MB at most; two are processed at a time, quickly.
  photo: 24,
  // One file keeps the database busy for some seconds.
  import: 4,
  // Drawn in parallel, about a second each; exports of records use a connection each.
  paper: 12,
  // Checking a secret takes a few hundredths of a second, and four are checked at a time.
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
