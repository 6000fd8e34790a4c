// The reading of an item: in which unit it is taken, the values as found and as left, and what the rules say of them.

import { useState } from "preact/hooks";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { WeeklyAnswer } from "../../../shared/contracts/checks.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import type { ItemVerdict } from "../../../shared/rules/verdict.ts";
import { unitsFor } from "../../../shared/units.ts";
import { NumberPad } from "../field/number-pad.tsx";
import { Choice } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import type { BenchMachine } from "./bench-machine.ts";
import { type Fields, mostPlaces, needsReading, type OddField } from "./item-answer.ts";
import { sayOdd } from "./odd.ts";
import { LimitLine, VerdictLine } from "./reading-field.tsx";

/** What was typed, and what the rules say of it. */
export interface JudgedFields {
  /** the answer as it would be sent now */
  readonly answer: WeeklyAnswer;
  /** whether anything was entered */
  readonly typed: boolean;
  readonly odd: readonly OddField[];
  /** undefined if nothing was entered, or what was entered is odd */
  readonly verdict: ItemVerdict | undefined;
}

interface ItemReadingProps {
  readonly item: Item;
  readonly quantity: Quantity;
  readonly unit: Unit;
  readonly machine: BenchMachine;
  readonly fields: Fields;
  readonly judged: JudgedFields;
  readonly guidance: readonly string[];
  readonly onChange: (part: Partial<Fields>) => void;
}

export function ItemReading({ item, quantity, unit, machine, fields, judged, guidance, onChange }: ItemReadingProps) {
  return (
    <section aria-label={say(`quantity.${quantity}`)}>
      <LimitLine machine={machine} quantity={quantity} />
      {unitsFor(quantity).length > 1 && (
        <Choice
          label={say("bench.unit")}
          value={unit}
          options={unitsFor(quantity).map((one) => ({ value: one, text: say(`unit.${one}`) }))}
          onChange={(one) => onChange({ unit: one })}
        />
      )}
      {quantity === "rear-tyre-pressure" && machine.handbook.tyrePressure?.rear?.laden !== undefined && (
        <Choice
          label={say("load")}
          value={fields.load}
          options={(["solo", "laden"] as const).map((value) => ({ value, text: say(`load.${value}`) }))}
          onChange={(load) => onChange({ load })}
        />
      )}
      <Values unit={unit} most={mostPlaces(item, machine)} fields={fields} onChange={onChange} />
      <Outcome item={item} judged={judged} guidance={guidance} />
      {(judged.odd.length > 0 || fields.readTwice) && (
        <label class="tick">
          <input type="checkbox" checked={fields.readTwice} onChange={(event) => onChange({ readTwice: event.currentTarget.checked })} />
          <span>{say("bench.read-twice")}</span>
        </label>
      )}
      {quantity.endsWith("tyre-pressure") && (
        <label class="short">
          <span>{say("bench.celsius")}</span>
          <input
            type="number"
            inputMode="decimal"
            step="any"
            min={limits.celsius.least}
            max={limits.celsius.most}
            value={fields.celsius}
            onInput={(event) => onChange({ celsius: event.currentTarget.validity.valid ? event.currentTarget.value : fields.celsius })}
          />
        </label>
      )}
    </section>
  );
}

interface ValuesProps {
  readonly unit: Unit;
  /** at how many places it may be measured */
  readonly most: number;
  readonly fields: Fields;
  readonly onChange: (part: Partial<Fields>) => void;
}

/** One number pad for all values of the reading: which of them is typed is chosen above it. */
function Values({ unit, most, fields, onChange }: ValuesProps) {
  const [active, setActive] = useState<number | "left">(0);
  const { found, left } = fields;
  const nameOf = (value: number | "left"): string =>
    value === "left" ? say("bench.as-left") : found.length > 1 ? say("bench.place", { place: value + 1 }) : say("bench.as-found");
  const shown = (value: number | "left", text: string) => ({ value: String(value), text: `${nameOf(value)}: ${text === "" ? "–" : text}` });
  return (
    <>
      <Choice
        label={say("bench.which-reading")}
        value={String(active)}
        options={[...found.map((text, index) => shown(index, text)), shown("left", left)]}
        onChange={(value) => setActive(value === "left" ? "left" : Number(value))}
      />
      {found.length < most && (
        <button
          type="button"
          onClick={() => {
            onChange({ found: [...found, ""] });
            setActive(found.length);
          }}
        >
          {say("bench.place.more")}
        </button>
      )}
      <NumberPad
        label={nameOf(active)}
        unit={say(`unit.${unit}`)}
        text={active === "left" ? left : (found[active] ?? "")}
        decimals
        onText={(text) => onChange({ ...(active === "left" ? { left: text } : { found: found.with(active, text) }), readTwice: false })}
      />
    </>
  );
}

/** The verdict with what to do about it, or what is missing or odd. */
function Outcome({ item, judged: { answer, typed, odd, verdict }, guidance }: Pick<ItemReadingProps, "item" | "judged" | "guidance">) {
  return (
    <div role="status" class="verdicts">
      {verdict && (
        <>
          <VerdictLine verdict={verdict.asLeft ?? verdict.asFound} />
          {verdict.asLeft && <p class="small">{say("bench.was", { outcome: say(`bench.outcome.${verdict.asFound.outcome}`) })}</p>}
          {guidance.map((text) => (
            <p key={text} class="guidance">
              {text}
            </p>
          ))}
        </>
      )}
      {!typed && <p class="small">{say(needsReading(item) ? "bench.reading.missing" : "bench.reading.optional")}</p>}
      {odd.map(({ field, message }) => (
        <p key={field} class="notice">
          {sayIssue(field, message, answer, item)}
        </p>
      ))}
    </div>
  );
}

/** A question about the first odd value of a field; any other issue in the words of the rules. */
function sayIssue(field: string, message: string, answer: WeeklyAnswer, { quantity }: Item): string {
  const { unit, readTwice = false } = answer;
  if (quantity === undefined || unit === undefined) return message;
  const values = field === "places" ? (answer.places ?? []) : field === "asLeft" ? [answer.asLeft] : [answer.asFound];
  for (const value of values) {
    const said = value === undefined ? null : sayOdd(quantity, value, unit, readTwice);
    if (said !== null) return said;
  }
  return message;
}
