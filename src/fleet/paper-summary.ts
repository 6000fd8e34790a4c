// How a paper is answered: the one mapping behind the list, and behind what adding and ending one answer.
import type { Paper } from "../../shared/contracts/papers.ts";
import { isUnusuallyLong, lastDayOf } from "../../shared/rules/papers.ts";
import { word } from "../../shared/words/index.ts";
import type { Actor } from "../platform/index.ts";
import type { PaperRow } from "./store.ts";

/** The paper for this reader. Who ended it is told to those who answer for the fleet. */
export function paperSummary({ ending, ...paper }: PaperRow, { role }: Pick<Actor, "role">): Paper {
  const unnamed = role === "rider" ? { staffNumber: null, staffName: null } : {};
  return {
    ...paper,
    lastDay: lastDayOf({ ...paper, ending }),
    ending: ending && { ...ending, ...unnamed },
    // One that was ended is not compared with anything any more.
    warnings: ending === null && isUnusuallyLong(paper) ? [{ code: "unusually-long", message: word("paper-warning.unusually-long") }] : [],
  };
}
