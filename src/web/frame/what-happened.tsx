// What a machine struck or how it went down, and what looks bent: asked on the phone and at the desk alike.
import { partsBent, waysOfFalling } from "../../../shared/catalogue/falls.ts";
import type { Features } from "../../../shared/contracts/machine-model.ts";
import { sayBent, sayHit } from "../../../shared/words/say-fall.ts";
import { language, say } from "./words.ts";

interface Happened {
  readonly hit: string | null;
  readonly bent: readonly string[];
}

interface AskedProps {
  readonly told: Happened;
  /** null: every part is offered */
  readonly features: Features | null;
  readonly change: (part: Partial<Happened>) => void;
}

const hasPart = ({ pedals, loadBox, power }: Features, part: string): boolean =>
  part === "pedal" ? pedals : part === "load-box" ? loadBox : part === "exhaust" || part === "tank" ? power !== "electric" : true;

export function WhatHappened({ told, features, change }: AskedProps) {
  return (
    <>
      <fieldset class="seen">
        <legend>{say("walk.fall.hit")}</legend>
        {waysOfFalling.map((id) => (
          <label key={id}>
            <input type="radio" name="hit" required checked={told.hit === id} onChange={() => change({ hit: id })} />
            <span>{sayHit(id, language())}</span>
          </label>
        ))}
      </fieldset>
      <fieldset class="seen">
        <legend>{say("walk.fall.bent")}</legend>
        {partsBent
          .filter((id) => features === null || hasPart(features, id))
          .map((id) => (
            <label key={id}>
              <input
                type="checkbox"
                checked={told.bent.includes(id)}
                onChange={() => change({ bent: told.bent.includes(id) ? told.bent.filter((one) => one !== id) : [...told.bent, id] })}
              />
              <span>{sayBent(id, language())}</span>
            </label>
          ))}
      </fieldset>
    </>
  );
}
