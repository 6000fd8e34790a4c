// The walk itself: one station after the other, one touch where all is well, and the answer at the end.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Clearance } from "../../../shared/rules/clearance.ts";
import type { CheckedMachine, Pace } from "../../../shared/rules/daily-check.ts";
import { type BundleMachine, nowBy, type OfflineBundle, offlineBundle } from "../field/offline-bundle.ts";
import { put, sendAll } from "../field/outbox.ts";
import { dropWalk, keepWalk, keptWalks } from "../field/phone-store.ts";
import { inTheMiddle } from "../frame/keep-files.ts";
import { newId } from "../frame/new-id.ts";
import { Waiting } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import { Answer } from "./answer.tsx";
import { Before, useIsToTell } from "./before.tsx";
import { DayItem } from "./day-item.tsx";
import { Finish } from "./finish.tsx";
import { ItemSheet } from "./item-sheet.tsx";
import { Against, knownAt } from "./known.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { useOneTab } from "./one-tab.ts";
import { Station } from "./station.tsx";
import {
  asksByItself,
  beginWalk,
  bodyOf,
  canGoOn,
  dayItemOf,
  type Found,
  foundNothing,
  isDone,
  isUntouched,
  judge,
  riderOf,
  stationsOf,
  type Walk,
  withFound,
} from "./walk.ts";

export interface WalkingProps {
  readonly person: Person;
  readonly bundle: OfflineBundle;
  readonly machine: BundleMachine;
  readonly checked: CheckedMachine;
}

interface Ended {
  readonly checkId: string;
  readonly performedAt: string;
  readonly judged: Clearance;
  /** what there was to tell before this check */
  readonly lately: BundleMachine["lately"];
  readonly pace: Pace;
  readonly read: boolean;
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

function Walked({ person, bundle, machine, checked }: WalkingProps) {
  const [walk, setWalk] = useState<Walk | null>(null);
  const latest = useRef<Walk | null>(null);
  const [step, setStep] = useState(0);
  const [item, setItem] = useState<string | null>(null);
  // The screen of the day's item stood behind the sheet when it was opened.
  const [byItselfAsked, setByItselfAsked] = useState(false);
  const [noRoom, setNoRoom] = useState(false);
  const [ended, setEnded] = useState<Ended | null>(null);
  const head = useRef<HTMLHeadingElement>(null);
  const spent = useSpentTime();
  const stations = stationsOf(checked.features);
  const [briefed, setBriefed] = useState(false);
  const isToTell = useIsToTell({ person, bundle, machine, checked });

  useEffect(() => {
    let gone = false;
    void openWalk(person, bundle, machine, checked).then(({ found, step: first }) => {
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
  const station = stations[step];
  const dayItem = walk && station ? dayItemOf(walk, checked) : "";
  // After its station, or at once where it is all of it.
  const byItself =
    walk !== null &&
    station !== undefined &&
    asksByItself(walk, station, dayItem) &&
    (station.items.length === 1 || walk.done.includes(station.id));
  // The next station is read out, and begins at its top.
  useEffect(() => {
    scrollTo(0, 0);
    head.current?.focus({ preventScroll: true });
  }, [step, byItself, walk !== null, ended !== null, briefed]);

  if (ended) return <Answer {...{ person, bundle, machine }} {...ended} />;
  if (!walk) return <Waiting />;
  if (!briefed && isToTell && isUntouched(walk)) {
    const begin = () => {
      // Reading what is told is no part of the walk.
      spent();
      setBriefed(true);
    };
    return <Before {...{ person, bundle, machine, checked }} onWalk={begin} />;
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
      madeAt: nowBy(bundle).toISOString(),
    });
    return id;
  };
  const left = stations.findIndex((one) => !isDone(walk, one, dayItemOf(walk, checked)));
  const send = async () => {
    const now = nowBy(bundle);
    const body = bodyOf({ ...walk, spentMs: walk.spentMs + spent() }, checked, now);
    const judged = judge(checked, body, riderOf(person), now);
    if (judged.refused) {
      setStep(left);
      return;
    }
    await put({
      ...{ kind: "check", id: walk.id, staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark, body },
      madeAt: now.toISOString(),
      decision: judged.clearance.decision,
    });
    await dropWalk(walk.id);
    const read = body.proof !== undefined;
    const answered = { checkId: walk.id, performedAt: body.performedAt, judged: judged.clearance };
    setEnded({ ...answered, lately: machine.lately, pace: judged.pace, read });
    void sendAll();
  };

  const answer = (id: string, part: Partial<Walk> = {}) =>
    change((before) => ({ ...before, ...part, done: [...new Set([...before.done, id])] }));
  const stateOf = (id: string): StationState["state"] => {
    if (stations.find((one) => one.id === id)?.items.some((one) => walk.found[one.id])) return "found";
    return stations.some((one) => one.id === id && isDone(walk, one, dayItemOf(walk, checked))) ? "well" : "ahead";
  };
  const drawn = stations.map(({ id }): StationState => ({ id, state: id === station?.id ? "here" : stateOf(id) }));
  const dayItemHere = station?.items.find(({ id }) => id === dayItem);
  const open = station?.items.find(({ id }) => id === item);
  return (
    <section class="walk">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
        <p class="small">{station ? say("walk.step", { step: step + 1, steps: stations.length }) : say("walk.end")}</p>
        <progress max={stations.length} value={walk.done.length} aria-label={say("walk.progress")} />
      </header>
      <Against machine={machine} now={nowBy(bundle)} place={checked.place} />
      {noRoom && (
        <p class="notice" role="alert">
          {say("walk.no-room")}
        </p>
      )}
      {station ? (
        <>
          {byItself && dayItemHere ? (
            <DayItem
              head={head}
              item={dayItemHere}
              features={checked.features}
              onWell={() => {
                answer(station.id, { dayItemWell: true });
                setStep(step + 1);
              }}
              onSeen={() => {
                setByItselfAsked(true);
                setItem(dayItem);
              }}
              onBack={
                station.items.length > 1
                  ? () => change((before) => ({ ...before, done: before.done.filter((id) => id !== station.id) }))
                  : step > 0
                    ? () => setStep(step - 1)
                    : null
              }
            />
          ) : (
            <Station
              key={station.id}
              head={head}
              station={station}
              walk={walk}
              machine={machine}
              drawn={drawn}
              onItem={(id) => {
                setByItselfAsked(false);
                setItem(id);
              }}
              onBack={step > 0 ? () => setStep(step - 1) : null}
              onWell={() => {
                answer(station.id);
                if (!asksByItself(walk, station, dayItem)) setStep(step + 1);
              }}
            />
          )}
          {open && (
            <ItemSheet
              item={open}
              features={checked.features}
              known={knownAt(machine.state, open.id)}
              timeZone={machine.timeZone}
              found={walk.found[open.id] ?? null}
              onFound={onFound(open.id)}
              keepPhoto={keepPhoto}
              onClose={() => {
                setItem(null);
                if (!byItselfAsked || !latest.current?.found[dayItem]) return;
                answer(station.id);
                setStep(step + 1);
              }}
            />
          )}
        </>
      ) : (
        <Finish
          head={head}
          walk={walk}
          checked={checked}
          now={nowBy(offlineBundle.get())}
          stations={stations.map(({ id }) => ({ id, state: stateOf(id) }))}
          left={left}
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
  bundle: OfflineBundle,
  machine: BundleMachine,
  checked: CheckedMachine,
): Promise<{ found: Walk; step: number }> {
  const now = nowBy(bundle);
  let found: Walk | null = null;
  for (const walk of await keptWalks()) {
    if (walk.staffId !== person.id || walk.machineId !== machine.id) continue;
    if (found === null && canGoOn(walk, now, machine.timeZone)) found = walk;
    else await dropWalk(walk.id);
  }
  const walk = found ?? beginWalk(newId(), person.id, machine.id, now);
  const stations = stationsOf(checked.features);
  const first = stations.findIndex((station) => !isDone(walk, station, dayItemOf(walk, checked)));
  return { found: walk, step: first === -1 ? stations.length : first };
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
    const onVisibility = () => {
      const now = performance.now();
      // It was visible until this very moment, or was not until now.
      if (document.visibilityState === "hidden") kept.current += now - last.current;
      last.current = now;
    };
    document.addEventListener("visibilitychange", onVisibility);
    return () => document.removeEventListener("visibilitychange", onVisibility);
  }, []);
  return () => {
    take();
    const answer = kept.current;
    kept.current = 0;
    return answer;
  };
}
