// A paper as an answer: the one mapping for the list, and for the answers to adding and ending one.
import type { Paper } from "../../shared/contracts/papers.ts";
import { isUnusuallyLong, lastDayOf } from "../../shared/rules/papers.ts";
import { onlyRides } from "../../shared/rules/roles.ts";
import { word } from "../../shared/words/index.ts";
import type { Actor } from "../platform/index.ts";
import type { PaperRow } from "./paper-store.ts";

/** The paper for this reader. Everybody but who only rides is told who ended it. */
export function paperSummary({ ending, ...paper }: PaperRow, reader: Pick<Actor, "role" | "roles">): Paper {
  const unnamed = onlyRides(reader) ? { staffNumber: null, staffName: null } : {};
  return {
    ...paper,
    lastDay: lastDayOf({ ...paper, ending }),
    ending: ending && { ...ending, ...unnamed },
    // One that was ended needs no warning any more.
    warnings: ending === null && isUnusuallyLong(paper) ? [{ code: "unusually-long", message: word("paper-warning.unusually-long") }] : [],
  };
}
