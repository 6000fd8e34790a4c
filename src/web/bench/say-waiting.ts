// What a defect waits for, as a sentence of the bench.
import type { Defect } from "../../../shared/contracts/defects.ts";
import { say, sayDay } from "../frame/words.ts";

export function sayWaiting({ part, expectedDay }: NonNullable<Defect["waiting"]>): string {
  const day = sayDay(expectedDay);
  return part === null ? say("bench.waits", { day }) : say("bench.waits-for", { part, day });
}
