// What was seen is put right on the spot: the rider says so, and where only a gauge shows it, reads it again.
import { readOnWalkAt } from "../../../shared/catalogue/proof.ts";
import { takesReading } from "../../../shared/catalogue/sheet.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { verdictAfter } from "../../../shared/rules/rider-put-right.ts";
import { unitsFor } from "../../../shared/units.ts";
import { Choice } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import { doubtOfReading } from "./ask-again.ts";
import { sayDoubt } from "./ask-again-dialog.tsx";
import { FigurePad } from "./figure-pad.tsx";
import type { Found } from "./walk.ts";

interface PutRightProps {
  readonly item: Item;
  readonly machine: CheckedMachine;
  readonly now: Found;
  readonly onFound: (change: (found: Found) => Found) => void;
}

export function PutRight({ item, machine, now, onFound }: PutRightProps) {
  return (
    <>
      <p class="seen put-right">
        <label>
          <input
            type="checkbox"
            checked={now.putRight === true}
            onChange={({ currentTarget: { checked } }) => onFound((had) => ({ ...had, putRight: checked }))}
          />
          <span>{say("walk.put-right")}</span>
        </label>
      </p>
      {now.putRight === true && takesReading(item, now.observationIds) && <After {...{ item, machine, now, onFound }} />}
    </>
  );
}

/** The reading after it. What is odd about it is asked at once, while the gauge is in hand. */
function After({ item, machine, now, onFound }: PutRightProps) {
  const asked = readOnWalkAt(item.id, machine);
  if (asked === null) return null;
  const { quantity } = asked;
  const { value = null, unit = asked.unit, readTwice = false } = now.reading ?? {};
  const units = unitsFor(quantity);
  const change = (reading: Found["reading"]) => onFound((had) => ({ ...had, ...(reading === undefined ? {} : { reading }) }));
  const doubt = value === null || readTwice ? null : doubtOfReading(quantity, value, unit);
  const result = value === null || doubt !== null ? null : verdictAfter(machine, asked, { value, unit })?.result;
  const outside = result === "defect";
  return (
    <>
      <FigurePad
        key={unit}
        label={say(`quantity.${quantity}`)}
        unit={unit}
        first={value}
        onFigure={(next) => change(next === null ? null : { value: next, unit })}
      />
      {units.length > 1 && value !== null && (
        <Choice
          label={say("walk.reading.unit")}
          value={unit}
          options={units.map((one) => ({ value: one, text: say(`unit.${one}`) }))}
          onChange={(next) => change({ value, unit: next })}
        />
      )}
      <p role="status" class={doubt !== null || outside ? "notice" : "small"}>
        {doubt !== null ? sayDoubt(doubt, machine.depotRules.timeZone) : say(saidOf(result))}
      </p>
      {value !== null && doubt !== null && doubt.about !== "impossible" && (
        <button type="button" onClick={() => change({ value, unit, readTwice: true })}>
          {say("walk.put-right.sure")}
        </button>
      )}
    </>
  );
}

function saidOf(result: "within" | "corrected" | "defect" | "not-set" | null | undefined) {
  if (result === null) return "walk.put-right.read";
  if (result === "defect") return "walk.put-right.outside";
  return result === "within" ? "walk.put-right.within" : "walk.put-right.said";
}
