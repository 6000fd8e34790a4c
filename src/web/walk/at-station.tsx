// One station of the walk, or the item of the day that is asked after it, with the sheet for what is not right.
import type { Ref } from "preact";
import { useState } from "preact/hooks";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import type { BundleMachine } from "../field/offline-bundle.ts";
import { DayItem } from "./day-item.tsx";
import { ItemSheet } from "./item-sheet.tsx";
import { knownAt } from "./known.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { Station } from "./station.tsx";
import { asksByItself, dayItemOf, foundNothing, type Walk, type WalkStation, withFound } from "./walk.ts";

interface AtStationProps {
  readonly head: Ref<HTMLHeadingElement>;
  readonly station: WalkStation;
  readonly walk: Walk;
  /** the walk after the last touch, which may not be drawn yet */
  readonly latest: { readonly current: Walk | null };
  readonly machine: BundleMachine;
  readonly checked: CheckedMachine;
  /** the item of the day is on the screen, and not its station */
  readonly byItself: boolean;
  readonly drawn: readonly StationState[];
  readonly onChange: (next: (walk: Walk) => Walk) => void;
  readonly onNext: () => void;
  /** null at the first */
  readonly onBack: (() => void) | null;
  readonly keepPhoto: (picture: Blob) => Promise<string>;
}

export function AtStation(props: AtStationProps) {
  const { head, station, walk, latest, machine, checked, byItself, drawn, onChange, onNext, onBack, keepPhoto } = props;
  const [openId, setOpenId] = useState<string | null>(null);
  // Whether the sheet was opened from the screen of the day's item.
  const [byItselfAsked, setByItselfAsked] = useState(false);
  const dayItemId = dayItemOf(walk, checked);
  const dayItem = station.items.find(({ id }) => id === dayItemId);
  const open = station.items.find(({ id }) => id === openId);
  const answer = (part: Partial<Walk> = {}) =>
    onChange((before) => ({ ...before, ...part, done: [...new Set([...before.done, station.id])] }));
  const openSheet = (id: string, ofDayItem: boolean) => {
    setByItselfAsked(ofDayItem);
    setOpenId(id);
  };
  const backToStation = () => onChange((before) => ({ ...before, done: before.done.filter((id) => id !== station.id) }));
  return (
    <>
      {byItself && dayItem ? (
        <DayItem
          head={head}
          item={dayItem}
          features={checked.features}
          onWell={() => {
            answer({ dayItemWell: true });
            onNext();
          }}
          onSeen={() => openSheet(dayItem.id, true)}
          onBack={station.items.length > 1 ? backToStation : onBack}
        />
      ) : (
        <Station
          key={station.id}
          {...{ head, station, walk, machine, checked, drawn, onBack }}
          onItem={(id) => openSheet(id, false)}
          onWell={() => {
            answer();
            if (!asksByItself(walk, station, dayItemId)) onNext();
          }}
        />
      )}
      {open && (
        <ItemSheet
          item={open}
          features={checked.features}
          onWalkOf={checked}
          known={knownAt(machine.state, open.id)}
          timeZone={machine.timeZone}
          found={walk.found[open.id] ?? null}
          onFound={(make) => onChange((before) => withFound(before, open.id, make(before.found[open.id] ?? foundNothing)))}
          keepPhoto={keepPhoto}
          onClose={() => {
            setOpenId(null);
            if (!byItselfAsked || !latest.current?.found[dayItemId]) return;
            answer();
            onNext();
          }}
        />
      )}
    </>
  );
}
