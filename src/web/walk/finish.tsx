// The end of the walk: what was said at each station, the reading of the day, and the one touch that sends it.

import type { ComponentChildren, Ref } from "preact";
import { useEffect, useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { unitsFor } from "../../../shared/units.ts";
import { itemName, stationName } from "../../../shared/words/item-words.ts";
import { sayMethod } from "../../../shared/words/say-method.ts";
import { Choice } from "../frame/parts.tsx";
import { language, say, sayCounted, sayNumber } from "../frame/words.ts";
import { type Doubt, doubtOfOdometer, doubtOfReading } from "./ask-again.ts";
import { AskAgain } from "./ask-again-dialog.tsx";
import { FigurePad } from "./figure-pad.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { countsAsPutRight, figureOf, proofOf, type Walk } from "./walk.ts";

export interface FinishProps {
  readonly head: Ref<HTMLHeadingElement>;
  readonly walk: Walk;
  readonly checked: CheckedMachine;
  readonly now: Date;
  readonly stations: readonly StationState[];
  /** the first station that is not answered; -1: none */
  readonly left: number;
  readonly onChange: (change: (walk: Walk) => Walk) => void;
  readonly onStation: (step: number) => void;
  readonly onSend: () => Promise<void>;
}

export function Finish({ head, walk, checked, now, stations, left, onChange, onStation, onSend: sendNow }: FinishProps) {
  const [asking, setAsking] = useState<Doubt | null>(null);
  const [sure, setSure] = useState(false);
  const proof = proofOf(checked, now);
  const unit = walk.proofUnit ?? proof.unit;
  const byOdometer = proof.quantity === "odometer";
  const isRead = (byOdometer ? walk.odometerKm : walk.proofValue) !== null;
  const findings = Object.keys(walk.found);
  // Asked once, while the gauge is in hand; a figure that the rider has confirmed is sent as it is.
  const onSend = async () => {
    const doubt = doubtOf(walk, checked, proof.quantity, unit, now);
    return doubt === null ? sendNow() : setAsking(doubt);
  };
  useEffect(() => {
    if (sure) {
      setSure(false);
      void onSend();
    }
  }, [sure]);
  return (
    <>
      <div class="finish">
        <h1 ref={head} tabIndex={-1}>
          {findings.length === 0 ? say("walk.finish.nil") : sayCounted("walk.finish", findings.length)}
        </h1>
        {findings.length > 0 && (
          <ul class="found-list">
            {findings.map((id) => (
              <li key={id}>
                {itemName(id, language())}
                {countsAsPutRight(walk.found[id], id, checked) && ` (${say("walk.put-right.said")})`}
              </li>
            ))}
          </ul>
        )}
        <Reading {...{ walk, checked, unit, onChange }} quantity={proof.quantity}>
          {left === -1 && !isRead && (
            <SteadyButton shown="without" plain act={onSend}>
              {say("walk.send.without")}
            </SteadyButton>
          )}
        </Reading>
        {!byOdometer && <Odometer {...{ walk, onChange }} known={checked.state.odometerKm} />}
        <LookAgain stations={stations} onStation={onStation} />
      </div>
      <div class="thumb">
        {left === -1 ? (
          // At the place where the thumb was at each station is the button that sends the reading, never the one that leaves it out.
          <SteadyButton shown={`send ${isRead}`} rests={isRead ? undefined : "saying-why"} act={onSend}>
            {isRead
              ? say(findings.length === 0 ? "walk.send.nil" : "walk.send.found", { km: sayNumber(kmOf(walk, checked)) })
              : say("walk.send.reading-first")}
          </SteadyButton>
        ) : (
          <SteadyButton shown="left" act={() => onStation(left)}>
            {say("walk.left", { station: stationName(stations[left]?.id ?? "saddle", language()) })}
          </SteadyButton>
        )}
      </div>
      {asking && (
        <AskAgain
          doubt={asking}
          timeZone={checked.depotRules.timeZone}
          onClose={() => setAsking(null)}
          onUnit={(next) => {
            setAsking(null);
            onChange((before) => ({ ...before, proofUnit: next }));
          }}
          onSure={(figure) => {
            setAsking(null);
            onChange((before) => ({ ...before, sure: [...before.sure, figure] }));
            setSure(true);
          }}
        />
      )}
    </>
  );
}

/** The odometer of this check: as it was typed, else as it is known. */
const kmOf = (walk: Walk, { state }: CheckedMachine): number => walk.odometerKm ?? state.odometerKm;

/** What is asked about the figures of this walk, where the rider has not said yet that they are right. */
function doubtOf(walk: Walk, checked: CheckedMachine, quantity: Quantity, unit: Unit, now: Date): Doubt | null {
  const isSure = (value: number, of: Unit): boolean => walk.sure.includes(figureOf(value, of));
  if (quantity !== "odometer" && walk.proofValue !== null && !isSure(walk.proofValue, unit)) {
    const ofReading = doubtOfReading(quantity, walk.proofValue, unit);
    if (ofReading) return ofReading;
  }
  if (walk.odometerKm === null || isSure(walk.odometerKm, "km")) return null;
  return doubtOfReading("odometer", walk.odometerKm, "km") ?? doubtOfOdometer(checked, walk.odometerKm, now);
}

type Changing = Pick<FinishProps, "walk" | "onChange">;

interface ReadingProps extends Changing {
  readonly checked: CheckedMachine;
  readonly quantity: Quantity;
  readonly unit: Unit;
  /** under the keys */
  readonly children: ComponentChildren;
}

/** The reading of the day. */
function Reading({ walk, checked, quantity, unit, onChange, children }: ReadingProps) {
  const byOdometer = quantity === "odometer";
  const units = unitsFor(quantity);
  return (
    <section aria-label={say("walk.reading")}>
      <h2>{say("walk.reading")}</h2>
      <p class="small">{say(byOdometer ? "walk.reading.odometer" : "walk.reading.why")}</p>
      {!byOdometer && <p class="small">{sayMethod(quantity, checked.handbook, language())}.</p>}
      {units.length > 1 && (
        <Choice
          label={say("walk.reading.unit")}
          value={unit}
          options={units.map((one) => ({ value: one, text: say(`unit.${one}`) }))}
          onChange={(next) => onChange((before) => ({ ...before, proofUnit: next }))}
        />
      )}
      {hasLoad(quantity, checked) && (
        <Choice
          label={say("walk.reading.load")}
          value={walk.proofLoad}
          options={(["solo", "laden"] as const).map((value) => ({ value, text: say(`load.${value}`) }))}
          onChange={(next) => onChange((before) => ({ ...before, proofLoad: next }))}
        />
      )}
      {byOdometer ? (
        <OdometerPad {...{ walk, onChange }} />
      ) : (
        <FigurePad
          label={say(`quantity.${quantity}`)}
          unit={unit}
          first={walk.proofValue}
          onFigure={(value) => onChange((before) => ({ ...before, proofValue: value }))}
        />
      )}
      {children}
    </section>
  );
}

/** Whether the handbook prints another pressure for this tyre under load. */
function hasLoad(quantity: Quantity, { handbook }: CheckedMachine): boolean {
  if (quantity === "front-tyre-pressure") return handbook.tyrePressure?.front?.laden !== undefined;
  return quantity === "rear-tyre-pressure" && handbook.tyrePressure?.rear?.laden !== undefined;
}

/** The odometer, where it is not the reading of the day: as it is known, to be said the same or changed. */
function Odometer({ walk, known, onChange }: Changing & { readonly known: number }) {
  const [changing, setChanging] = useState(false);
  return (
    <section aria-label={say("quantity.odometer")}>
      <h2>{say("walk.odometer", { km: sayNumber(walk.odometerKm ?? known) })}</h2>
      <p class="small" role="status">
        {say(walk.odometerSeen || walk.odometerKm !== null ? "walk.odometer.seen" : "walk.odometer.unread")}
      </p>
      {!changing && (
        <p class="row">
          {!walk.odometerSeen && (
            <button type="button" onClick={() => onChange((before) => ({ ...before, odometerSeen: true }))}>
              {say("walk.odometer.same")}
            </button>
          )}
          <button type="button" onClick={() => setChanging(true)}>
            {say("walk.odometer.change")}
          </button>
        </p>
      )}
      {changing && <OdometerPad {...{ walk, onChange }} />}
    </section>
  );
}

const OdometerPad = ({ walk, onChange }: Changing) => (
  <FigurePad
    label={say("quantity.odometer")}
    unit="km"
    most={limits.odometerKm}
    first={walk.odometerKm}
    onFigure={(value) => onChange((before) => ({ ...before, odometerKm: value }))}
  />
);

/** Every station with what was said at it, and the way back to it. */
function LookAgain({ stations, onStation }: Pick<FinishProps, "stations" | "onStation">) {
  return (
    <details>
      <summary>{say("walk.look-again")}</summary>
      <ul class="list">
        {stations.map(({ id, state }, index) => (
          <li key={id}>
            <button type="button" class="quiet" onClick={() => onStation(index)}>
              {stationName(id, language())}: {say(`walk.state.${state === "here" ? "well" : state}`)}
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}
