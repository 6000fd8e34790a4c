// The walk itself: one station after the other, one touch where all is well, and the answer at the end.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Clearance } from "../../../shared/rules/clearance.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { type Kit, type KitMachine, kit as kitStore, nowBy } from "../field/kit.ts";
import { put, sendAll } from "../field/outbox.ts";
import { dropWalk, keepWalk, keptWalks } from "../field/shelf.ts";
import { inTheMiddle } from "../frame/keep-files.ts";
import { newId } from "../frame/new-id.ts";
import { Waiting } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import { Answer } from "./answer.tsx";
import { Before, useIsToTell } from "./before.tsx";
import { Finish } from "./finish.tsx";
import { ItemSheet } from "./item-sheet.tsx";
import { Against, knownAt } from "./known.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { useOneTab } from "./one-tab.ts";
import { Station } from "./station.tsx";
import {
  beginWalk,
  bodyOf,
  canGoOn,
  type Found,
  foundNothing,
  isUntouched,
  judge,
  riderOf,
  stationsOf,
  type Walk,
  withFound,
} from "./walk.ts";

export interface WalkingProps {
  readonly person: Person;
  readonly kit: Kit;
  readonly machine: KitMachine;
  readonly checked: CheckedMachine;
}

interface Ended {
  readonly checkId: string;
  readonly performedAt: string;
  readonly judged: Clearance;
  /** what there was to tell before this check */
  readonly lately: KitMachine["lately"];
}

export function Walking(props: WalkingProps) {
  const { elsewhere, goOnHere } = useOneTab(`ferrule walk ${props.machine.id}`);
  if (elsewhere) {
    return (
      <section class="choose">
        <h1>{props.machine.registrationMark}</h1>
        <p class="notice" role="alert">
          {say("walk.elsewhere", { mark: props.machine.registrationMark })}
        </p>
        <button type="button" class="main" onClick={goOnHere}>
          {say("walk.elsewhere.here")}
        </button>
      </section>
    );
  }
  return <Walked {...props} />;
}

function Walked({ person, kit, machine, checked }: WalkingProps) {
  const [walk, setWalk] = useState<Walk | null>(null);
  const latest = useRef<Walk | null>(null);
  const [step, setStep] = useState(0);
  const [item, setItem] = useState<string | null>(null);
  const [noRoom, setNoRoom] = useState(false);
  const [ended, setEnded] = useState<Ended | null>(null);
  const head = useRef<HTMLHeadingElement>(null);
  const spent = useSpentTime();
  const stations = stationsOf(checked.features);
  const [told, setTold] = useState(false);
  const isToTell = useIsToTell({ person, kit, machine, checked });

  useEffect(() => {
    let gone = false;
    void openWalk(
      person,
      kit,
      machine,
      stations.map(({ id }) => id),
    ).then(({ found, step: first }) => {
      if (gone) return;
      latest.current = found;
      setWalk(found);
      setStep(first);
    });
    return () => {
      gone = true;
    };
  }, []);
  useEffect(() => (ended ? undefined : inTheMiddle()), [ended !== null]);
  // The next station is read out, and begins at its top.
  useEffect(() => {
    scrollTo(0, 0);
    head.current?.focus({ preventScroll: true });
  }, [step, walk !== null, ended !== null, told]);

  if (ended) return <Answer {...{ person, kit, machine }} {...ended} />;
  if (!walk) return <Waiting />;
  if (!told && isToTell && isUntouched(walk)) {
    const begin = () => {
      // Reading what is told is no part of the walk.
      spent();
      setTold(true);
    };
    return <Before {...{ person, kit, machine, checked }} onWalk={begin} />;
  }

  const change = (next: (walk: Walk) => Walk) => {
    // Not the walk of this drawing: a photo may be ready only after the next touch.
    const before = latest.current ?? walk;
    const after = { ...next(before), spentMs: before.spentMs + spent() };
    latest.current = after;
    setWalk(after);
    void keepWalk(after).then((kept) => setNoRoom(!kept));
  };
  const onFound = (itemId: string) => (make: (found: Found) => Found | null) =>
    change((before) => withFound(before, itemId, make(before.found[itemId] ?? foundNothing)));
  const keepPhoto = async (picture: Blob): Promise<string> => {
    const id = newId();
    await put({
      ...{ kind: "photo", id, picture, staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark },
      madeAt: nowBy(kit).toISOString(),
    });
    return id;
  };
  const send = async () => {
    const now = nowBy(kit);
    const body = bodyOf({ ...walk, spentMs: walk.spentMs + spent() }, checked, now);
    const judged = judge(checked, body, riderOf(person), now);
    if (judged.refused) {
      setStep(stations.findIndex(({ id }) => !walk.done.includes(id)));
      return;
    }
    await put({
      ...{ kind: "check", id: walk.id, staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark, body },
      madeAt: now.toISOString(),
      decision: judged.clearance.decision,
    });
    await dropWalk(walk.id);
    setEnded({ checkId: walk.id, performedAt: body.performedAt, judged: judged.clearance, lately: machine.lately });
    void sendAll();
  };

  const station = stations[step];
  const stateOf = (id: string): StationState["state"] => {
    if (stations.find((one) => one.id === id)?.items.some((one) => walk.found[one.id])) return "found";
    return walk.done.includes(id) ? "well" : "ahead";
  };
  const drawn = stations.map(({ id }): StationState => ({ id, state: id === station?.id ? "here" : stateOf(id) }));
  const open = station?.items.find(({ id }) => id === item);
  return (
    <section class="walk">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
        <p class="small">{station ? say("walk.step", { step: step + 1, steps: stations.length }) : say("walk.end")}</p>
        <progress max={stations.length} value={walk.done.length} aria-label={say("walk.progress")} />
      </header>
      <Against machine={machine} now={nowBy(kit)} place={checked.place} />
      {noRoom && (
        <p class="notice" role="alert">
          {say("walk.no-room")}
        </p>
      )}
      {station ? (
        <>
          <Station
            key={station.id}
            head={head}
            station={station}
            walk={walk}
            machine={machine}
            drawn={drawn}
            onItem={setItem}
            onBack={step > 0 ? () => setStep(step - 1) : null}
            onWell={() => {
              change((before) => ({ ...before, done: [...new Set([...before.done, station.id])] }));
              setStep(step + 1);
            }}
          />
          {open && (
            <ItemSheet
              item={open}
              features={checked.features}
              known={knownAt(machine.state, open.id)}
              timeZone={machine.timeZone}
              found={walk.found[open.id] ?? null}
              onFound={onFound(open.id)}
              keepPhoto={keepPhoto}
              onClose={() => setItem(null)}
            />
          )}
        </>
      ) : (
        <Finish
          head={head}
          walk={walk}
          checked={checked}
          now={nowBy(kitStore.get())}
          stations={stations.map(({ id }) => ({ id, state: stateOf(id) }))}
          onChange={change}
          onStation={setStep}
          onSend={send}
        />
      )}
    </section>
  );
}

/** The walk of this machine that was left lately, or a new one; older ones go. */
async function openWalk(
  person: Person,
  kit: Kit,
  machine: KitMachine,
  stationIds: readonly string[],
): Promise<{ found: Walk; step: number }> {
  const now = nowBy(kit);
  let found: Walk | null = null;
  for (const walk of await keptWalks()) {
    if (walk.staffId !== person.id || walk.machineId !== machine.id) continue;
    if (found === null && canGoOn(walk, now, machine.timeZone)) found = walk;
    else await dropWalk(walk.id);
  }
  found ??= beginWalk(newId(), person.id, machine.id, now);
  const first = stationIds.findIndex((id) => !found?.done.includes(id));
  return { found, step: first === -1 ? stationIds.length : first };
}

/** Answers the milliseconds since it was asked last, without those in which the page was out of sight. */
function useSpentTime(): () => number {
  const last = useRef(performance.now());
  const kept = useRef(0);
  const take = () => {
    const now = performance.now();
    if (document.visibilityState === "visible") kept.current += now - last.current;
    last.current = now;
  };
  useEffect(() => {
    const hear = () => {
      const now = performance.now();
      // It was visible until this very moment, or was not until now.
      if (document.visibilityState === "hidden") kept.current += now - last.current;
      last.current = now;
    };
    document.addEventListener("visibilitychange", hear);
    return () => document.removeEventListener("visibilitychange", hear);
  }, []);
  return () => {
    take();
    const answer = kept.current;
    kept.current = 0;
    return answer;
  };
}
