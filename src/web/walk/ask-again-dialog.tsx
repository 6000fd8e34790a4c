// One question about a figure, before it is sent: the rider still stands at the gauge or the meter.

import type { Unit } from "../../../shared/contracts/quantities.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { Dialog } from "../frame/parts.tsx";
import { say, sayDay, sayNumber } from "../frame/words.ts";
import type { Doubt } from "./ask-again.ts";
import { figureOf } from "./walk.ts";

interface AskAgainProps {
  readonly doubt: Doubt;
  readonly timeZone: string;
  readonly onClose: () => void;
  readonly onUnit: (unit: Unit) => void;
  /** called with the figure that was asked about if the rider says that it is right */
  readonly onSure: (figure: string) => void;
}

export function AskAgain({ doubt, timeZone, onClose, onUnit, onSure }: AskAgainProps) {
  const figure = "km" in doubt ? figureOf(doubt.km, "km") : figureOf(doubt.value, doubt.unit);
  return (
    <Dialog title={say("walk.ask")} onClose={onClose}>
      <p>{sayDoubt(doubt, timeZone)}</p>
      <div class="row">
        {doubt.about === "unit" && (
          <button type="button" class="main" onClick={() => onUnit(doubt.other)}>
            {say("walk.ask.unit.yes", { other: say(`unit.${doubt.other}`) })}
          </button>
        )}
        <button type="button" class={doubt.about === "unit" ? "" : "main"} onClick={onClose}>
          {say("walk.ask.change")}
        </button>
        {doubt.about !== "impossible" && (
          <button type="button" onClick={() => onSure(figure)}>
            {say("walk.ask.sure")}
          </button>
        )}
      </div>
    </Dialog>
  );
}

/** What is asked about a figure. */
export function sayDoubt(doubt: Doubt, timeZone: string): string {
  if ("km" in doubt) {
    const { km, byKm, since } = doubt;
    return say(`walk.ask.${doubt.about}`, { km: sayNumber(km), by: sayNumber(byKm), day: sayDay(localDay(new Date(since), timeZone)) });
  }
  const params = { value: sayNumber(doubt.value, 2), unit: say(`unit.${doubt.unit}`) };
  if (doubt.about === "unit") return say("walk.ask.unit", { ...params, other: say(`unit.${doubt.other}`) });
  return say(`walk.ask.${doubt.about}`, { ...params, min: sayNumber(doubt.min, 2), max: sayNumber(doubt.max, 2) });
}
