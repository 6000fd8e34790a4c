// What riders put right again and again, as the board and a machine answer it.
import type { PutRightOftenSaid } from "../../shared/contracts/readiness.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { putRightTooOften } from "../../shared/rules/rider-put-right.ts";
import "../../shared/words/index.ts";
import { sayPutRightOften } from "../../shared/words/say-put-right.ts";

/** The questions about a machine at a moment. */
export const putRightOften = (state: MachineState, at: Date, timeZone: string): PutRightOftenSaid[] =>
  putRightTooOften(state, at, timeZone).map((often) => {
    const { itemId, observationId, times, firstAt, lastAt } = often;
    const sinceDay = localDay(new Date(firstAt), timeZone);
    return { itemId, observationId, times, sinceDay, lastAt, text: sayPutRightOften(often, sinceDay) };
  });
