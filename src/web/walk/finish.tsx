// The end of the walk: what was said at each station, the reading of the day, and the one touch that sends it.

import type { Ref } from "preact";
import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { unitsFor } from "../../../shared/units.ts";
import { itemName, stationName } from "../../../shared/words/item-words.ts";
import { NumberPad, valueTyped } from "../field/number-pad.tsx";
import { language, say, sayNumber } from "../frame/words.ts";
import type { StationState } from "./machine-drawing.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { proofOf, type Walk } from "./walk.ts";

export interface FinishProps {
  readonly head: Ref<HTMLHeadingElement>;
  readonly walk: Walk;
  readonly checked: CheckedMachine;
  readonly now: Date;
  readonly stations: readonly StationState[];
  readonly onChange: (change: (walk: Walk) => Walk) => void;
  readonly onStation: (step: number) => void;
  readonly onSend: () => Promise<void>;
}

export function Finish({ head, walk, checked, now, stations, onChange, onStation, onSend }: FinishProps) {
  const [changing, setChanging] = useState(false);
  const [text, setText] = useState({ odometer: textOf(walk.odometerKm), proof: textOf(walk.proofValue) });
  const proof = proofOf(checked, now);
  const known = checked.state.odometerKm;
  const km = walk.odometerKm ?? known;
  const byOdometer = proof.quantity === "odometer";
  const value = byOdometer ? walk.odometerKm : walk.proofValue;
  const odd = value !== null && (value < proof.min || value > proof.max);
  const left = stations.findIndex(({ state }) => state === "ahead");
  const findings = Object.keys(walk.found);
  const ask = (odometer: boolean) => (
    <NumberPad
      label={say(`quantity.${odometer ? "odometer" : proof.quantity}`)}
      unit={odometer ? "km" : say(`unit.${proof.unit}`)}
      text={odometer ? text.odometer : text.proof}
      {...(odometer ? { most: limits.odometerKm } : {})}
      decimals={!odometer && unitsFor(proof.quantity).includes(proof.unit) && proof.unit !== "percent"}
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
          {say(findings.length === 0 ? "walk.finish.nil" : findings.length === 1 ? "walk.finish.one" : "walk.finish.many", {
            count: findings.length,
          })}
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
          {ask(byOdometer)}
          {odd && (
            <p class="notice" role="status">
              {say("walk.reading.odd", { min: sayNumber(proof.min, 1), max: sayNumber(proof.max, 1), unit: say(`unit.${proof.unit}`) })}
            </p>
          )}
        </section>
        {!byOdometer && (
          <section aria-label={say("quantity.odometer")}>
            <p>
              {say("walk.odometer", { km: sayNumber(km) })}{" "}
              {!changing && (
                <button type="button" onClick={() => setChanging(true)}>
                  {say("walk.odometer.change")}
                </button>
              )}
            </p>
            {changing && ask(true)}
          </section>
        )}
        {walk.odometerKm !== null && walk.odometerKm < known && (
          <p class="notice" role="status">
            {say("walk.odometer.less", { km: sayNumber(known) })}
          </p>
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
          <SteadyButton shown="send" act={onSend}>
            {say(findings.length === 0 ? "walk.send.nil" : "walk.send.found", { km: sayNumber(km) })}
          </SteadyButton>
        ) : (
          <SteadyButton shown="left" act={() => onStation(left)}>
            {say("walk.left", { station: stationName(stations[left]?.id ?? "saddle", language()) })}
          </SteadyButton>
        )}
      </div>
    </>
  );
}

const textOf = (value: number | null): string => (value === null ? "" : String(value));
