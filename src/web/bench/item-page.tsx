// One item of the weekly inspection: how it is done, its reading with the verdict, what was done, and what was seen.

import { useEffect, useRef, useState } from "preact/hooks";
import { samePart } from "../../../shared/catalogue/parts.ts";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { WeeklyAnswer } from "../../../shared/contracts/checks.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { putRightTooOften } from "../../../shared/rules/rider-put-right.ts";
import { dueBy, verdictOf } from "../../../shared/rules/weekly-inspection.ts";
import { itemHow, itemName, itemPrompt, itemWhy, observationText } from "../../../shared/words/item-words.ts";
import { sayDue } from "../../../shared/words/say-guidance.ts";
import { PhotoField } from "../field/photo-field.tsx";
import { sayOften } from "../frame/put-right-often.tsx";
import { language, say } from "../frame/words.ts";
import { AdvisoriesHere } from "./advisories-here.tsx";
import type { BenchMachine } from "./bench-machine.ts";
import type { DraftAnswer } from "./draft.ts";
import { actions, answerOf, type Fields, fieldsOf, oddOf, staysOpen } from "./item-answer.ts";
import { ItemReading, type JudgedFields } from "./item-reading.tsx";

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
  const head = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    scrollTo(0, 0);
    head.current?.focus({ preventScroll: true });
  }, []);
  const change = (part: Partial<Fields>) => {
    latest.current = { ...latest.current, ...part };
    setFields(latest.current);
    // If its reading is deleted, the answer no longer counts as given.
    onAnswer(answerOf(item, latest.current, answer?.result !== undefined && !staysOpen(item, latest.current, machine)));
  };
  const later = staysOpen(item, fields, machine);
  const judged = judgeFields(item, fields, machine);
  const isWell = judged.odd.length === 0 && judged.verdict?.result !== "defect";
  const anythingSeen = fields.observationIds.length > 0 || fields.photoIds.length > 0;
  return (
    <article class="item-page">
      <h1 ref={head} tabIndex={-1}>
        {itemName(item.id, language())}
      </h1>
      <p>{itemPrompt(item.id, language())}</p>
      <p>{itemHow(item, machine.features, language())}</p>
      <DueHere item={item} machine={machine} />
      <OftenHere item={item} machine={machine} />
      <AdvisoriesHere item={item} machine={machine} said={fields.advisories} onSaid={(advisories) => change({ advisories })} />
      {item.quantity !== undefined && fields.unit !== null && (
        <ItemReading {...{ item, machine, fields, judged, guidance }} quantity={item.quantity} unit={fields.unit} onChange={change} />
      )}
      {item.quantity === undefined && <ToDo guidance={guidance} />}
      <fieldset class="ticks">
        <legend>{say("bench.actions")}</legend>
        <Ticks
          class="tick"
          all={actions.map((action) => ({ id: action, text: say(`bench.action.${action}`) }))}
          ticked={fields.actions}
          onTicked={(ticked) => change({ actions: ticked })}
        />
      </fieldset>
      <details open={anythingSeen}>
        <summary>{say("bench.not-right")}</summary>
        <fieldset class="seen">
          <legend>{say("walk.seen")}</legend>
          <Ticks
            all={item.observations.map(({ id }) => ({ id, text: observationText(id, language()) }))}
            ticked={fields.observationIds}
            onTicked={(ticked) => change({ observationIds: ticked })}
          />
        </fieldset>
        <PhotoField
          count={fields.photoIds.length}
          keepPhoto={keepPhoto}
          onPhoto={(id) => change({ photoIds: [...latest.current.photoIds, id] })}
        />
      </details>
      <NoteField note={fields.note} onNote={(note) => change({ note })} />
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

/** What riders put right again and again at the part that this item looks at. */
function OftenHere({ item, machine: { state, depotRules } }: Pick<ItemPageProps, "item" | "machine">) {
  const { timeZone } = depotRules;
  const here = putRightTooOften(state, new Date(), timeZone).filter(({ itemId, observationId }) =>
    samePart({ itemId, observationIds: [observationId] }, { itemId: item.id, observationIds: [] }),
  );
  return (
    <>
      {here.map((often) => (
        <p key={often.observationId} class="notice">
          {sayOften({ ...often, sinceDay: localDay(new Date(often.firstAt), timeZone) })}
        </p>
      ))}
    </>
  );
}

function judgeFields(item: Item, fields: Fields, machine: BenchMachine): JudgedFields {
  const given = answerOf(item, fields, true);
  const now: WeeklyAnswer = { ...given, result: given.result ?? "ok" };
  const typed = item.quantity !== undefined && (now.asFound !== undefined || now.places !== undefined);
  const odd = oddOf(item, fields, machine);
  return { answer: now, typed, odd, verdict: typed && odd.length === 0 ? verdictOf(machine, now, item)[0] : undefined };
}

/** Where the handbook has an interval at this item: what is left of it, or since when it is over. */
function DueHere({ item, machine }: Pick<ItemPageProps, "item" | "machine">) {
  const due = dueBy(machine, new Date()).find(({ itemId }) => itemId === item.id);
  return due ? <p>{say("bench.item-due", { due: sayDue(due, language()) })}</p> : null;
}

/** What is to be done at an item that is not measured; one that is says it with its reading. */
const ToDo = ({ guidance }: Pick<ItemPageProps, "guidance">) => (
  <>
    {guidance.map((text) => (
      <p key={text} class="guidance">
        {text}
      </p>
    ))}
  </>
);

interface TicksProps<Id extends string> {
  readonly class?: string;
  readonly all: readonly { readonly id: Id; readonly text: string }[];
  readonly ticked: readonly Id[];
  readonly onTicked: (ticked: readonly Id[]) => void;
}

function Ticks<Id extends string>({ class: look, all, ticked, onTicked }: TicksProps<Id>) {
  return (
    <>
      {all.map(({ id, text }) => (
        <label key={id} class={look}>
          <input
            type="checkbox"
            checked={ticked.includes(id)}
            onChange={({ currentTarget: { checked } }) => onTicked(checked ? [...ticked, id] : ticked.filter((one) => one !== id))}
          />
          <span>{text}</span>
        </label>
      ))}
    </>
  );
}

function NoteField({ note, onNote }: { readonly note: string; readonly onNote: (note: string) => void }) {
  return (
    <label>
      <span>{say("walk.note")}</span>
      <textarea dir="auto" rows={2} maxLength={limits.note} value={note} onInput={({ currentTarget: { value } }) => onNote(value)} />
    </label>
  );
}
