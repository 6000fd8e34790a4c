// The end of the walk: what was said at each station, the reading of the day, and the one touch that sends it.

import type { Ref } from "preact";
import { useEffect, useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { unitsFor } from "../../../shared/units.ts";
import { itemName, stationName } from "../../../shared/words/item-words.ts";
import { sayMethod } from "../../../shared/words/say-method.ts";
import { NumberPad, valueTyped } from "../field/number-pad.tsx";
import { Choice } from "../frame/parts.tsx";
import { language, say, sayCounted, sayNumber } from "../frame/words.ts";
import { type Doubt, doubtOfOdometer, doubtOfReading } from "./ask-again.ts";
import { AskAgain } from "./ask-again-dialog.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { figureOf, proofOf, type Walk } from "./walk.ts";

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
  const [changing, setChanging] = useState(false);
  const [asking, setAsking] = useState<Doubt | null>(null);
  const [sure, setSure] = useState(false);
  const [text, setText] = useState({ odometer: textOf(walk.odometerKm), proof: textOf(walk.proofValue) });
  const proof = proofOf(checked, now);
  const known = checked.state.odometerKm;
  const km = walk.odometerKm ?? known;
  const byOdometer = proof.quantity === "odometer";
  const unit = walk.proofUnit ?? proof.unit;
  const units = unitsFor(proof.quantity);
  const isRead = (byOdometer ? walk.odometerKm : walk.proofValue) !== null;
  const findings = Object.keys(walk.found);
  const printed = { "front-tyre-pressure": "front", "rear-tyre-pressure": "rear" } as const;
  const end = proof.quantity in printed ? printed[proof.quantity as keyof typeof printed] : null;
  const hasLoad = end !== null && checked.handbook.tyrePressure?.[end]?.laden !== undefined;
  const ofReading = byOdometer || walk.proofValue === null ? null : doubtOfReading(proof.quantity, walk.proofValue, unit);
  const ofOdometer = walk.odometerKm === null ? null : (doubtOfReading("odometer", km, "km") ?? doubtOfOdometer(checked, km, now));
  const isSure = (value: number, of: Unit): boolean => walk.sure.includes(figureOf(value, of));
  const doubt = ofReading && !isSure(walk.proofValue ?? 0, unit) ? ofReading : ofOdometer && !isSure(km, "km") ? ofOdometer : null;
  // Asked once, while the gauge is in hand; what was said to be right goes as it is.
  const onSend = async () => (doubt === null ? sendNow() : setAsking(doubt));
  useEffect(() => {
    if (sure) {
      setSure(false);
      void onSend();
    }
  }, [sure]);
  const ask = (odometer: boolean) => (
    <NumberPad
      label={say(`quantity.${odometer ? "odometer" : proof.quantity}`)}
      unit={odometer ? "km" : say(`unit.${unit}`)}
      text={odometer ? text.odometer : text.proof}
      decimals={!odometer && unit !== "percent" && unit !== "km"}
      {...(odometer ? { most: limits.odometerKm } : {})}
      onText={(next) => {
        setText({ ...text, [odometer ? "odometer" : "proof"]: next });
        onChange((before) => ({ ...before, [odometer ? "odometerKm" : "proofValue"]: valueTyped(next) }));
      }}
    />
  );
  return (
    <>
      <div class="finish">
        <h1 ref={head} tabIndex={-1}>
          {findings.length === 0 ? say("walk.finish.nil") : sayCounted("walk.finish", findings.length)}
        </h1>
        {findings.length > 0 && (
          <ul class="found-list">
            {findings.map((id) => (
              <li key={id}>{itemName(id, language())}</li>
            ))}
          </ul>
        )}
        <section aria-label={say("walk.reading")}>
          <h2>{say("walk.reading")}</h2>
          <p class="small">{say(byOdometer ? "walk.reading.odometer" : "walk.reading.why")}</p>
          {!byOdometer && <p class="small">{sayMethod(proof.quantity, checked.handbook, language())}.</p>}
          {units.length > 1 && (
            <Choice
              label={say("walk.reading.unit")}
              value={unit}
              options={units.map((one) => ({ value: one, text: say(`unit.${one}`) }))}
              onChange={(next) => onChange((before) => ({ ...before, proofUnit: next }))}
            />
          )}
          {hasLoad && (
            <Choice
              label={say("walk.reading.load")}
              value={walk.proofLoad}
              options={(["solo", "laden"] as const).map((value) => ({ value, text: say(`bench.load.${value}`) }))}
              onChange={(next) => onChange((before) => ({ ...before, proofLoad: next }))}
            />
          )}
          {ask(byOdometer)}
          {left === -1 && !isRead && (
            <SteadyButton shown="without" plain act={onSend}>
              {say("walk.send.without")}
            </SteadyButton>
          )}
        </section>
        {!byOdometer && (
          <section aria-label={say("quantity.odometer")}>
            <h2>{say("walk.odometer", { km: sayNumber(km) })}</h2>
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
            {changing && ask(true)}
          </section>
        )}
        <details>
          <summary>{say("walk.look-again")}</summary>
          <ul class="list">
            {stations.map(({ id, state }, index) => (
              <li key={id}>
                <button type="button" class="quiet" onClick={() => onStation(index)}>
                  {stationName(id, language())}: {say(`walk.state.${state === "found" ? "found" : state === "ahead" ? "ahead" : "well"}`)}
                </button>
              </li>
            ))}
          </ul>
        </details>
      </div>
      <div class="thumb">
        {left === -1 ? (
          // Where the thumb has been at each station stands what takes the reading along, and never what leaves it out.
          <SteadyButton shown={`send ${isRead}`} rests={isRead ? undefined : "saying-why"} act={onSend}>
            {isRead
              ? say(findings.length === 0 ? "walk.send.nil" : "walk.send.found", { km: sayNumber(km) })
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
          timeZone={checked.place.timeZone}
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

const textOf = (value: number | null): string => (value === null ? "" : String(value));
