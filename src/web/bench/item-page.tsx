// One item of the weekly inspection: how it is done, its reading with the verdict, what was done, and what was seen.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { WeeklyAnswer } from "../../../shared/contracts/checks.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import { verdictOf } from "../../../shared/rules/weekly-inspection.ts";
import { unitsFor } from "../../../shared/units.ts";
import { itemHow, itemName, itemPrompt, itemWhy, observationText } from "../../../shared/words/item-words.ts";
import { NumberPad } from "../field/number-pad.tsx";
import { PhotoField } from "../field/photo-field.tsx";
import { Choice } from "../frame/parts.tsx";
import { language, say } from "../frame/words.ts";
import type { BenchMachine } from "./bench-machine.ts";
import type { DraftAnswer } from "./draft.ts";
import { actions, answerOf, type Fields, fieldsOf, mostPlaces, needsReading, oddOf, staysOpen } from "./item-answer.ts";
import { sayOdd } from "./odd.ts";
import { LimitLine, VerdictLine } from "./reading-field.tsx";

/** The first value of the field that is odd, in words; what else is wrong with a reading, as the rules say it. */
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

interface ItemPageProps {
  readonly item: Item;
  readonly machine: BenchMachine;
  readonly answer: DraftAnswer | undefined;
  /** what to do, by the rules, with the draft as it stands */
  readonly guidance: readonly string[];
  readonly keepPhoto: (picture: Blob) => Promise<string>;
  readonly onAnswer: (answer: DraftAnswer) => void;
  readonly onDone: () => void;
  readonly onBack: () => void;
}

export function ItemPage({ item, machine, answer, guidance, keepPhoto, onAnswer, onDone, onBack }: ItemPageProps) {
  const [fields, setFields] = useState(() => fieldsOf(answer, item, machine));
  const latest = useRef(fields);
  const [active, setActive] = useState<number | "left">(0);
  const head = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    scrollTo(0, 0);
    head.current?.focus({ preventScroll: true });
  }, []);
  const change = (part: Partial<Fields>) => {
    latest.current = { ...latest.current, ...part };
    setFields(latest.current);
    // An answer whose reading is taken back is none.
    onAnswer(answerOf(item, latest.current, answer?.result !== undefined && !staysOpen(item, latest.current, machine)));
  };
  const { quantity } = item;
  const now = { result: "ok", ...answerOf(item, fields, true) } as WeeklyAnswer;
  const typed = quantity !== undefined && (now.asFound !== undefined || now.places !== undefined);
  const odd = oddOf(item, fields, machine);
  const later = staysOpen(item, fields, machine);
  const verdict = typed && odd.length === 0 ? verdictOf(machine, now, item)[0] : undefined;
  const isWell = odd.length === 0 && verdict?.result !== "defect";
  const anythingSeen = fields.observationIds.length > 0 || fields.photoIds.length > 0;
  return (
    <article class="item-page">
      <h1 ref={head} tabIndex={-1}>
        {itemName(item.id, language())}
      </h1>
      <p>{itemPrompt(item.id, language())}</p>
      <p>{itemHow(item, machine.features, language())}</p>
      {quantity !== undefined && fields.unit !== null && (
        <section aria-label={say(`quantity.${quantity}`)}>
          <LimitLine machine={machine} quantity={quantity} />
          {unitsFor(quantity).length > 1 && (
            <Choice
              label={say("bench.unit")}
              value={fields.unit}
              options={unitsFor(quantity).map((unit) => ({ value: unit, text: say(`unit.${unit}`) }))}
              onChange={(unit) => change({ unit })}
            />
          )}
          {quantity === "rear-tyre-pressure" && machine.handbook.tyrePressure?.rear?.laden !== undefined && (
            <Choice
              label={say("bench.load")}
              value={fields.load}
              options={(["solo", "laden"] as const).map((value) => ({ value, text: say(`bench.load.${value}`) }))}
              onChange={(load) => change({ load })}
            />
          )}
          <Choice
            label={say("bench.which-reading")}
            value={String(active)}
            options={[
              ...fields.found.map((text, index) => ({
                value: String(index),
                text: `${fields.found.length > 1 ? say("bench.place", { place: index + 1 }) : say("bench.as-found")}: ${text === "" ? "–" : text}`,
              })),
              { value: "left", text: `${say("bench.as-left")}: ${fields.left === "" ? "–" : fields.left}` },
            ]}
            onChange={(value) => setActive(value === "left" ? "left" : Number(value))}
          />
          {fields.found.length < mostPlaces(item, machine) && (
            <button
              type="button"
              onClick={() => {
                change({ found: [...fields.found, ""] });
                setActive(fields.found.length);
              }}
            >
              {say("bench.place.more")}
            </button>
          )}
          <NumberPad
            label={
              active === "left"
                ? say("bench.as-left")
                : fields.found.length > 1
                  ? say("bench.place", { place: active + 1 })
                  : say("bench.as-found")
            }
            unit={say(`unit.${fields.unit}`)}
            text={active === "left" ? fields.left : (fields.found[active] ?? "")}
            decimals
            onText={(text) =>
              change(active === "left" ? { left: text, readTwice: false } : { found: fields.found.with(active, text), readTwice: false })
            }
          />
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
                {sayIssue(field, message, now, item)}
              </p>
            ))}
          </div>
          {(odd.length > 0 || fields.readTwice) && (
            <label class="tick">
              <input type="checkbox" checked={fields.readTwice} onChange={(event) => change({ readTwice: event.currentTarget.checked })} />
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
                onInput={(event) => change({ celsius: event.currentTarget.validity.valid ? event.currentTarget.value : fields.celsius })}
              />
            </label>
          )}
        </section>
      )}
      <fieldset class="ticks">
        <legend>{say("bench.actions")}</legend>
        {actions.map((action) => (
          <label key={action} class="tick">
            <input
              type="checkbox"
              checked={fields.actions.includes(action)}
              onChange={({ currentTarget: { checked } }) =>
                change({ actions: checked ? [...fields.actions, action] : fields.actions.filter((one) => one !== action) })
              }
            />
            <span>{say(`bench.action.${action}`)}</span>
          </label>
        ))}
      </fieldset>
      <details open={anythingSeen}>
        <summary>{say("bench.not-right")}</summary>
        <fieldset class="seen">
          <legend>{say("walk.seen")}</legend>
          {item.observations.map(({ id }) => (
            <label key={id}>
              <input
                type="checkbox"
                checked={fields.observationIds.includes(id)}
                onChange={({ currentTarget: { checked } }) =>
                  change({ observationIds: checked ? [...fields.observationIds, id] : fields.observationIds.filter((one) => one !== id) })
                }
              />
              <span>{observationText(id, language())}</span>
            </label>
          ))}
        </fieldset>
        <PhotoField
          count={fields.photoIds.length}
          keepPhoto={keepPhoto}
          onPhoto={(id) => change({ photoIds: [...latest.current.photoIds, id] })}
        />
      </details>
      <label>
        <span>{say("walk.note")}</span>
        <textarea
          dir="auto"
          rows={2}
          maxLength={limits.note}
          value={fields.note}
          onInput={({ currentTarget: { value: note } }) => change({ note })}
        />
      </label>
      <p class="small">{itemWhy(item.id, language())}</p>
      <div class="thumb">
        <button type="button" onClick={onBack}>
          {say("page.back")}
        </button>
        <button
          type="button"
          class="main"
          onClick={() => {
            onAnswer(answerOf(item, fields, !later));
            onDone();
          }}
        >
          {say(later ? "bench.item.later" : isWell && !anythingSeen ? "bench.item.well" : "bench.item.noted")}
        </button>
      </div>
    </article>
  );
}
