// One station: its items, each of which can be marked as not right, and one touch for all that are well, once all of them have been in view.
import type { Ref } from "preact";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { itemName, itemPrompt, stationName } from "../../../shared/words/item-words.ts";
import type { BundleMachine } from "../field/offline-bundle.ts";
import { language, say } from "../frame/words.ts";
import { useItemsSeen } from "./items-seen.ts";
import { KnownLine, knownAt } from "./known.tsx";
import { MachineDrawing, type StationState } from "./machine-drawing.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { countsAsPutRight, type Found, type Walk, type WalkStation } from "./walk.ts";

interface StationProps {
  readonly head: Ref<HTMLHeadingElement>;
  readonly station: WalkStation;
  readonly walk: Walk;
  readonly machine: BundleMachine;
  readonly checked: CheckedMachine;
  readonly drawn: readonly StationState[];
  readonly onItem: (itemId: string) => void;
  readonly onBack: (() => void) | null;
  readonly onWell: () => void;
}

const saidOf = (found: Found | undefined, itemId: string, checked: CheckedMachine) => {
  if (found === undefined) return "walk.not-right";
  return countsAsPutRight(found, itemId, checked) ? "walk.put-right.said" : "walk.not-right.said";
};

export function Station({ head, station, walk, machine, checked, drawn, onItem, onBack, onWell }: StationProps) {
  const done = walk.done.includes(station.id);
  const { list, bar, unseen } = useItemsSeen((id) => done || walk.found[id] !== undefined);
  const well = station.items.some(({ id }) => walk.found[id]) ? "walk.rest-well" : "walk.all-well";
  const left = unseen?.count ?? 0;
  return (
    <>
      <div class="station">
        <MachineDrawing stations={drawn} />
        <div>
          <h1 ref={head} tabIndex={-1}>
            {stationName(station.id, language())}
          </h1>
          <ul class="list items" ref={list}>
            {station.items.map(({ id }) => (
              <li key={id}>
                <button type="button" data-item={id} class={walk.found[id] ? "item item-found" : "item"} onClick={() => onItem(id)}>
                  <span class="item-prompt">
                    {itemPrompt(id, language())} <KnownLine known={knownAt(machine.state, id)} timeZone={machine.timeZone} />
                  </span>{" "}
                  <span class="item-found-word">{say(saidOf(walk.found[id], id, checked))}</span>
                  <span class="hidden">: {itemName(id, language())}</span>
                </button>
              </li>
            ))}
          </ul>
        </div>
      </div>
      <div class="thumb" ref={bar}>
        {onBack && (
          <button type="button" onClick={onBack}>
            {say("page.back")}
          </button>
        )}
        <SteadyButton
          shown={`${station.id} ${left > 0}`}
          rests={left > 0 ? "saying-why" : unseen === null ? "quietly" : undefined}
          act={onWell}
        >
          {left > 0 ? say(unseen?.above ? "walk.look-up" : "walk.look-down", { count: left }) : say(well)}
        </SteadyButton>
      </div>
    </>
  );
}
