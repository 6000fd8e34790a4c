// The end of an inspection: what is missing, the odometer, what to do in which order; and once it is recorded, its result.

import { useState } from "preact/hooks";
import type { WeeklyInspectionReceipt } from "../../../shared/contracts/checks.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { sayGuidance } from "../../../shared/words/say-guidance.ts";
import { nameOfItem } from "../../../shared/words/say-reason.ts";
import { NumberPad, valueTyped } from "../field/number-pad.tsx";
import { CategoryMark, Trouble } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { asServiceSpeaks, language, paperAt, say, sayMoment, sayNumber } from "../frame/words.ts";
import type { BenchMachine } from "./bench-machine.ts";
import type { DraftAtHand } from "./draft.ts";
import { HandOn, MeasuredBy, maySign } from "./hand-on.tsx";
import { type ListProps, stateIn } from "./inspect-list.ts";
import { StandsAfter } from "./stands-after.tsx";

interface EndProps extends ListProps {
  readonly atHand: DraftAtHand;
  readonly busy: boolean;
  readonly error: unknown;
  readonly onOpen: (id: string | null) => void;
  readonly onSubmit: () => Promise<void>;
  readonly person: Person;
}

export function End({ draft, review, items, atHand, busy, error, onOpen, onSubmit, machine, person }: EndProps) {
  const [text, setText] = useState(draft.odometerKm === null ? "" : String(draft.odometerKm));
  const left = (["missing", "odd", "open"] as const).map((state) => ({
    state,
    items: items.filter((item) => stateIn(draft, review, item) === state),
  }));
  const said = review.issues.flatMap((issue) => {
    const answer = issue.index === null ? undefined : draft.answers[issue.index];
    return answer === undefined ? [] : [{ itemId: answer.itemId, message: issue.message }];
  });
  // Issues that are about neither a missing answer nor a reading are shown for the inspection as a whole.
  const other = said.filter(({ itemId }) => !left.some((group) => group.items.some(({ id }) => id === itemId)));
  const noOdometer = draft.odometerKm === null;
  const isWhole = other.length === 0 && !noOdometer && left.every((group) => group.items.length === 0);
  const link = (itemId: string, message?: string) => (
    <li key={`${itemId} ${message ?? ""}`}>
      <a href={to("bench", "inspect", machine.machineId, itemId)}>{nameOfItem(itemId, language())}</a>
      {message !== undefined && asServiceSpeaks() && `: ${message}`}
    </li>
  );
  return (
    <section>
      <h1>{say("bench.end")}</h1>
      {!maySign(person) && <HandOn draft={draft} review={review} atHand={atHand} machine={machine} />}
      <NumberPad
        label={say("quantity.odometer")}
        unit="km"
        decimals={false}
        most={limits.odometerKm}
        text={text}
        onText={(next) => {
          setText(next);
          atHand.change((before) => ({ ...before, odometerKm: valueTyped(next) }));
        }}
      />
      <p class="small">{say("bench.odometer.before", { km: sayNumber(machine.state.odometerKm) })}</p>
      {!isWhole && (
        <div class="notice">
          <p>{say("bench.missing")}</p>
          {noOdometer && <p>{say("bench.missing.odometer")}</p>}
          {left.map(
            (group) =>
              group.items.length > 0 && (
                <section key={group.state} class="left-over" aria-label={say(`bench.missing.${group.state}`)}>
                  <h2>
                    {say(`bench.missing.${group.state}`)} ({group.items.length})
                  </h2>
                  <ul>
                    {group.items.map(({ id }) =>
                      link(id, group.state === "odd" ? said.find(({ itemId }) => itemId === id)?.message : undefined),
                    )}
                  </ul>
                </section>
              ),
          )}
          {other.length > 0 && <ul>{other.map(({ itemId, message }) => link(itemId, message))}</ul>}
        </div>
      )}
      <Steps guidance={review.guidance.map((one) => sayGuidance(one, language()))} />
      <MeasuredBy draft={draft} person={person} />
      <Trouble error={error} />
      <div class="thumb">
        <button type="button" onClick={() => onOpen(null)}>
          {say("bench.items")}
        </button>
        {maySign(person) ? (
          <button type="button" class="main" disabled={busy || !isWhole} onClick={() => void onSubmit()}>
            {say("bench.submit")}
          </button>
        ) : (
          <button type="button" class="main" disabled={atHand.state === "saving"} onClick={atHand.saveNow}>
            {say("bench.hand-on.save")}
          </button>
        )}
      </div>
    </section>
  );
}

/** What to do, in order, large enough to be read from the floor. */
function Steps({ guidance }: { guidance: readonly { itemId: string; text: string }[] }) {
  if (guidance.length === 0) return null;
  return (
    <section>
      <h2>{say("bench.guidance")}</h2>
      <ol class="steps">
        {guidance.map(({ itemId, text }) => (
          <li key={`${itemId} ${text}`}>
            <strong>{nameOfItem(itemId, language())}</strong>: {text}
          </li>
        ))}
      </ol>
    </section>
  );
}

export function Receipt({ receipt, machine }: { receipt: WeeklyInspectionReceipt; machine: BenchMachine }) {
  return (
    <div class="bench">
      <p class="plate mono">{machine.registrationMark}</p>
      <h1>{say("bench.submitted")}</h1>
      <StandsAfter machine={receipt}>
        <p class="small">{say("bench.recorded.at", { at: sayMoment(receipt.inspection.recordedAt) })}</p>
      </StandsAfter>
      {receipt.defects.length > 0 && (
        <section>
          <h2>{say("bench.defects")}</h2>
          <ul class="list jobs">
            {receipt.defects.map(({ id, itemId, category }) => (
              <li key={id} class="job">
                <CategoryMark category={category} />
                <a class="button" href={to("bench", "defect", id)}>
                  {nameOfItem(itemId, language())}
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
      {receipt.closed.length > 0 && (
        <section>
          <h2>{say("bench.closed")}</h2>
          <ul>
            {receipt.closed.map(({ id, itemId, status }) => (
              <li key={id}>
                <a href={to("bench", "defect", id)}>{nameOfItem(itemId, language())}</a>: {say(`bench.status.${status}`)}
              </li>
            ))}
          </ul>
        </section>
      )}
      <Steps guidance={receipt.guidance} />
      <p class="small">{say("caution.line")}</p>
      <p>
        <a class="button" href={paperAt(`/v1/weekly-inspections/${receipt.inspection.id}/report.pdf`)} target="_blank" rel="noopener">
          {say("bench.inspection.paper")}
        </a>
      </p>
      <a class="button main" href={to("bench")}>
        {say("bench.title")}
      </a>
    </div>
  );
}
