// One reading: its limit beside it, the verdict while it is typed, and the question where it is odd.
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import { limitFor } from "../../../shared/rules/as-new.ts";
import type { JudgedMachine } from "../../../shared/rules/judge-reading.ts";
import type { ValueVerdict } from "../../../shared/rules/verdict.ts";
import { unitsFor } from "../../../shared/units.ts";
import { sayLimit } from "../../../shared/words/say-guidance.ts";
import { sayMethod } from "../../../shared/words/say-method.ts";
import { NumberPad, valueTyped } from "../field/number-pad.tsx";
import { Choice } from "../frame/parts.tsx";
import { language, say, sayQuantityBeside } from "../frame/words.ts";
import { verdictOn } from "./bench-machine.ts";
import { sayOdd } from "./odd.ts";

export interface TypedReading {
  readonly text: string;
  readonly unit: Unit;
  readonly readTwice: boolean;
}

/** The unit of the handbook's own figure, where it gives one; else the usual one. */
export const firstUnit = (machine: JudgedMachine, quantity: Quantity): Unit => {
  const { unit } = limitFor(quantity, machine);
  return unitsFor(quantity).includes(unit) ? unit : unitsFor(quantity)[0];
};

export const emptyReading = (machine: JudgedMachine, quantity: Quantity): TypedReading => ({
  text: "",
  unit: firstUnit(machine, quantity),
  readTwice: false,
});

export function LimitLine({ machine, quantity }: { machine: JudgedMachine; quantity: Quantity }) {
  const limit = limitFor(quantity, machine);
  return (
    <>
      <p class="limit">
        {say(`bench.limit.${limit.kind}`)} <strong>{sayLimit(limit, language())}</strong>
      </p>
      <p class="small">{sayMethod(quantity, machine.handbook, language())}</p>
    </>
  );
}

/** How a value stands, in words and weight. */
export function VerdictLine({ verdict }: { verdict: ValueVerdict | null }) {
  if (verdict === null) return <p class="verdict">&nbsp;</p>;
  const { compared, limit, offBy } = verdict;
  const by = offBy === 0 ? "" : sayQuantityBeside(Math.abs(offBy), limit.unit, [0]);
  return (
    <p class={`verdict verdict-${verdict.outcome}`}>
      {say(`bench.outcome.${verdict.outcome}`)}
      {by !== "" && `: ${say(offBy < 0 ? "bench.off.under" : "bench.off.over", { by })}`}
      {verdict.category && ` (${say(`category.${verdict.category}`)})`}
      {compared && ` · ${sayQuantityBeside(compared.value, compared.unit, [limit.least, limit.most])}`}
    </p>
  );
}

interface ReadingFieldProps {
  readonly machine: JudgedMachine;
  readonly quantity: Quantity;
  readonly label: string;
  readonly reading: TypedReading;
  readonly onReading: (reading: TypedReading) => void;
}

export function ReadingField({ machine, quantity, label, reading, onReading }: ReadingFieldProps) {
  const { text, unit, readTwice } = reading;
  const value = valueTyped(text);
  const units = unitsFor(quantity);
  const odd = value === null ? null : sayOdd(quantity, value, unit, readTwice);
  return (
    <div class="reading">
      <LimitLine machine={machine} quantity={quantity} />
      {units.length > 1 && (
        <Choice
          label={say("bench.unit")}
          value={unit}
          options={units.map((one) => ({ value: one, text: say(`unit.${one}`) }))}
          onChange={(next) => onReading({ ...reading, unit: next })}
        />
      )}
      <NumberPad
        label={label}
        text={text}
        unit={say(`unit.${unit}`)}
        decimals
        onText={(next) => onReading({ text: next, unit, readTwice: false })}
      />
      <div role="status">
        <VerdictLine verdict={value === null ? null : verdictOn(machine, quantity, value, unit)} />
        {odd !== null && <p class="notice">{odd}</p>}
      </div>
      {(odd !== null || readTwice) && (
        <label class="tick">
          <input
            type="checkbox"
            checked={readTwice}
            onChange={(event) => onReading({ ...reading, readTwice: event.currentTarget.checked })}
          />
          <span>{say("bench.read-twice")}</span>
        </label>
      )}
    </div>
  );
}

/** As it is sent; undefined while nothing is typed. */
export function readingOf({ text, unit, readTwice }: TypedReading, quantity: Quantity) {
  const value = valueTyped(text);
  return value === null ? undefined : { quantity, value, unit, ...(readTwice ? { readTwice } : {}) };
}
