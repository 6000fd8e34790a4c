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
import { to } from "../frame/route.ts";
import { say } from "../frame/words.ts";
import { Answer } from "./answer.tsx";
import { AtStation } from "./at-station.tsx";
import { Before, useIsToTell } from "./before.tsx";
import { Finish } from "./finish.tsx";
import { Against } from "./known.tsx";
import type { StationState } from "./machine-drawing.tsx";
import { useOneTab } from "./one-tab.ts";
import {
  asksByItself,
  beginWalk,
  bodyOf,
  canGoOn,
  dayItemOf,
  isDone,
  isUntouched,
  judge,
  riderOf,
  stationsOf,
  type Walk,
  type WalkStation,
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
  /** what was repaired and who had checked, before this check */
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

function Walked(props: WalkingProps) {
  const { person, bundle, machine, checked } = props;
  const { walk, latest, step, setStep, noRoom, change, spent } = useWalk(props);
  const [ended, setEnded] = useState<Ended | null>(null);
  const [briefed, setBriefed] = useState(false);
  const head = useRef<HTMLHeadingElement>(null);
  const isToTell = useIsToTell(props);
  useEffect(() => (ended ? undefined : inTheMiddle()), [ended !== null]);
  const stations = stationsOf(checked.features);
  const station = stations[step];
  const byItself = walk !== null && station !== undefined && isDayItemAsked(walk, station, checked);
  // The next station is read out, and begins at its top.
  useEffect(() => {
    scrollTo(0, 0);
    head.current?.focus({ preventScroll: true });
  }, [step, byItself, walk !== null, ended !== null, briefed]);

  if (ended) return <Answer {...{ person, bundle, machine }} {...ended} />;
  if (!walk) return <Waiting />;
  if (!briefed && isToTell && isUntouched(walk)) {
    const begin = () => {
      // The time spent reading this is no part of the walk.
      spent();
      setBriefed(true);
    };
    return <Before {...props} onWalk={begin} />;
  }

  const left = stations.findIndex((one) => !isDone(walk, one, dayItemOf(walk, checked)));
  const send = async () => {
    const answered = await takeToOutbox({ ...walk, spentMs: walk.spentMs + spent() }, props);
    if (answered === null) return setStep(left);
    setEnded(answered);
    void sendAll();
  };
  return (
    <section class="walk">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
        <p class="small">{station ? say("walk.step", { step: step + 1, steps: stations.length }) : say("walk.end")}</p>
        <progress max={stations.length} value={walk.done.length} aria-label={say("walk.progress")} />
        {isUntouched(walk) && (
          <a class="small" href={to("walk", machine.registrationMark, "fall")}>
            {say("walk.fall")}
          </a>
        )}
      </header>
      <Against machine={machine} now={nowBy(bundle)} depotRules={checked.depotRules} />
      {noRoom && (
        <p class="notice" role="alert">
          {say("walk.no-room")}
        </p>
      )}
      {station ? (
        <AtStation
          {...{ head, station, walk, latest, machine, checked, byItself }}
          drawn={drawnOf(walk, checked, station.id)}
          onChange={change}
          onNext={() => setStep(step + 1)}
          onBack={step > 0 ? () => setStep(step - 1) : null}
          keepPhoto={(picture) => keepPhoto(picture, props)}
        />
      ) : (
        <Finish
          {...{ head, walk, checked, left }}
          now={nowBy(offlineBundle.get())}
          stations={drawnOf(walk, checked)}
          onChange={change}
          onStation={setStep}
          onSend={send}
        />
      )}
    </section>
  );
}

/** The walk at hand, kept on the phone with each touch. */
function useWalk({ person, bundle, machine, checked }: WalkingProps) {
  const [walk, setWalk] = useState<Walk | null>(null);
  const latest = useRef<Walk | null>(null);
  const [step, setStep] = useState(0);
  const [noRoom, setNoRoom] = useState(false);
  const spent = useSpentTime();
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
  const change = (next: (walk: Walk) => Walk) => {
    // Not the walk that this render saw: a photo may be ready only after the next touch.
    const before = latest.current;
    if (before === null) return;
    const after = { ...next(before), spentMs: before.spentMs + spent() };
    latest.current = after;
    setWalk(after);
    void keepWalk(after).then((kept) => setNoRoom(!kept));
  };
  return { walk, latest, step, setStep, noRoom, change, spent };
}

/** Whether the item of the day is on the screen: after its station, or at once if the station has no other item. */
function isDayItemAsked(walk: Walk, station: WalkStation, checked: CheckedMachine): boolean {
  return asksByItself(walk, station, dayItemOf(walk, checked)) && (station.items.length === 1 || walk.done.includes(station.id));
}

/** How each station stands, for the drawing of the machine. */
const drawnOf = (walk: Walk, checked: CheckedMachine, here?: string): StationState[] =>
  stationsOf(checked.features).map((station): StationState => {
    if (station.id === here) return { id: station.id, state: "here" };
    if (station.items.some(({ id }) => walk.found[id])) return { id: station.id, state: "found" };
    return { id: station.id, state: isDone(walk, station, dayItemOf(walk, checked)) ? "well" : "ahead" };
  });

async function keepPhoto(picture: Blob, { person, bundle, machine }: WalkingProps): Promise<string> {
  const id = newId();
  await put({
    ...{ kind: "photo", id, picture, staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark },
    madeAt: nowBy(bundle).toISOString(),
  });
  return id;
}

/** Judges the walk as the service will, and puts it into the outbox. Null if it is not complete: then it stays as it is. */
async function takeToOutbox(walk: Walk, { person, bundle, machine, checked }: WalkingProps): Promise<Ended | null> {
  const now = nowBy(bundle);
  const body = bodyOf(walk, checked, now);
  const judged = judge(checked, body, riderOf(person), now);
  if (judged.refused) return null;
  await put({
    ...{ kind: "check", id: walk.id, staffId: person.id, staffName: person.name, registrationMark: machine.registrationMark, body },
    madeAt: now.toISOString(),
    decision: judged.clearance.decision,
  });
  await dropWalk(walk.id);
  const read = body.proof !== undefined;
  const answered = { checkId: walk.id, performedAt: body.performedAt, judged: judged.clearance };
  return { ...answered, lately: machine.lately, pace: judged.pace, read };
}

/** The walk of this machine that was left a short time ago, or a new one; older ones are deleted. */
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

/** Returns a function that gives the milliseconds since its last call, without the time in which the page was hidden. */
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
      // Called at the change: hidden now means that it was visible until now, and the other way round.
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
