// Which machine: scanned, typed, or picked. What the rider is cleared for already stands first.
import { useEffect, useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { standingAt } from "../../../shared/rules/standing.ts";
import {
  type BundleMachine,
  bundleIsOld,
  clockOffMinutes,
  depotRulesOf,
  machineByMark,
  nowBy,
  type OfflineBundle,
} from "../field/offline-bundle.ts";
import { isUnsent, waiting } from "../field/outbox.ts";
import { StandingMark } from "../frame/parts.tsx";
import { PlainHttp } from "../frame/plain-http-notice.tsx";
import { go, to } from "../frame/route.ts";
import { useStore, useTimeOfDay } from "../frame/store.ts";
import { paperAt, say, sayCounted, sayMoment, sayTime } from "../frame/words.ts";
import { canScan } from "./can-scan.ts";
import { DepotChoice } from "./depot-choice.tsx";
import type { Scan } from "./scan.tsx";

const mostShown = 40;
const oldAfterMs = 15 * 60_000;

interface ChooseMachineProps {
  readonly bundle: OfflineBundle;
  readonly person: Person;
  readonly fresh: boolean;
  readonly onRefresh: () => void;
}

export function ChooseMachine({ bundle, person, fresh, onRefresh }: ChooseMachineProps) {
  const [text, setText] = useState("");
  const [unknown, setUnknown] = useState<string | null>(null);
  useTimeOfDay();
  const off = clockOffMinutes(bundle);
  const take = (typed: string): boolean => {
    const machine = machineByMark(bundle, typed);
    if (machine) go("walk", machine.registrationMark);
    else setUnknown(typed);
    return machine !== null;
  };
  return (
    <section class="choose">
      <h1>{say("walk.choose")}</h1>
      <PlainHttp />
      {off !== null && (
        <p class="notice" role="status">
          {sayCounted(off > 0 ? "walk.clock.ahead" : "walk.clock.behind", Math.abs(off))}
        </p>
      )}
      <RidesToday bundle={bundle} person={person} />
      <Cleared bundle={bundle} person={person} />
      <FindMark
        text={text}
        onText={(typed) => {
          setText(typed);
          setUnknown(null);
        }}
        onTake={take}
      />
      {unknown !== null && (
        <p class="trouble" role="alert">
          {say("walk.unknown", { mark: unknown })}
        </p>
      )}
      <DepotChoice person={person} onChoose={onRefresh} />
      {bundle.cut && <p class="notice">{say("walk.cut", { count: bundle.machines.length })}</p>}
      <Machines bundle={bundle} person={person} wanted={text.replace(/\s/g, "").toUpperCase()} />
      <p class="small">
        {say(fresh ? "walk.as-of" : "walk.as-of.old", { at: sayMoment(bundle.at) })}{" "}
        {Date.now() + bundle.aheadMs - Date.parse(bundle.at) > oldAfterMs && say("walk.as-of.very-old")}
      </p>
      <button type="button" class="quiet" onClick={onRefresh}>
        {say("walk.refresh")}
      </button>
      <p class="small">{say("caution.line")}</p>
    </section>
  );
}

/** What the manager gave this rider for today. */
function RidesToday({ bundle, person }: Pick<ChooseMachineProps, "bundle" | "person">) {
  const now = nowBy(bundle);
  const today = bundle.rides?.filter(({ day, timeZone }) => day === localDay(now, timeZone)) ?? [];
  if (today.length === 0) return null;
  return (
    <>
      <h2>{say("walk.rides")}</h2>
      <ul class="list machines">
        {today.map(({ machineId, registrationMark }) => {
          const machine = bundle.machines.find(({ id }) => id === machineId);
          return (
            <li key={machineId}>
              {machine ? <ToMachine {...{ bundle, machine, person }} /> : <span class="mono">{registrationMark}</span>}
            </li>
          );
        })}
      </ul>
    </>
  );
}

/** What this rider is cleared for: green only as long as the bundle is fresh. */
function Cleared({ bundle, person }: { readonly bundle: OfflineBundle; readonly person: Person }) {
  const now = nowBy(bundle);
  const old = bundleIsOld(bundle);
  // What still waits on this phone has no paper yet.
  const pieces = useStore(waiting);
  const cleared = bundle.machines.flatMap((machine) =>
    machine.state.clearances
      .filter(({ riderId, validUntil }) => riderId === person.id && new Date(validUntil) > now)
      .map(({ validUntil, decision, checkId }) => ({ machine, validUntil, decision, checkId })),
  );
  return (
    <>
      {cleared.map(({ machine, validUntil, decision, checkId }) => (
        <div key={machine.id} class={old ? "cleared cleared-once" : "cleared"}>
          <p>{say(`walk.cleared.${decision}`, { mark: machine.registrationMark, time: sayTime(validUntil, machine.timeZone) })}</p>
          {old && <p>{say("walk.cleared.as-known", { at: sayMoment(bundle.at) })}</p>}
          <div class="row">
            <a class="button" href={to("walk", machine.registrationMark, "report")}>
              {say("walk.report")}
            </a>
            <a class="button quiet" href={to("walk", machine.registrationMark, "fall")}>
              {say("walk.fall")}
            </a>
            {!pieces.some((piece) => piece.id === checkId && isUnsent(piece)) && (
              <a class="button quiet" href={paperAt(`/v1/daily-checks/${checkId}/report.pdf`)} target="_blank" rel="noopener">
                {say("walk.paper")}
              </a>
            )}
          </div>
        </div>
      ))}
    </>
  );
}

interface FindMarkProps {
  readonly text: string;
  readonly onText: (typed: string) => void;
  /** false where no machine here has this mark */
  readonly onTake: (typed: string) => boolean;
}

/** The mark typed, or read from its code by the camera. */
function FindMark({ text, onText, onTake }: FindMarkProps) {
  const [scanning, setScanning] = useState(false);
  return (
    <>
      <form
        class="find"
        onSubmit={(event) => {
          event.preventDefault();
          if (text.trim() !== "") onTake(text);
        }}
      >
        <label>
          <span>{say("walk.mark")}</span>
          <input
            class="mono"
            autocapitalize="characters"
            autocomplete="off"
            spellcheck={false}
            enterkeyhint="go"
            value={text}
            onInput={(event) => onText(event.currentTarget.value)}
          />
        </label>
        {canScan() && (
          <button type="button" onClick={() => setScanning(true)}>
            {say("walk.scan")}
          </button>
        )}
      </form>
      {scanning && (
        <ScanWhenHere
          onText={(seen) => {
            const known = onTake(seen);
            if (known) setScanning(false);
            return known;
          }}
          onClose={() => setScanning(false)}
        />
      )}
    </>
  );
}

/** The machines whose marks are like what was typed, each with its standing. */
function Machines({ bundle, person, wanted }: { readonly bundle: OfflineBundle; readonly person: Person; readonly wanted: string }) {
  const shown = bundle.machines.filter(({ registrationMark }) => registrationMark.includes(wanted));
  if (bundle.machines.length === 0) return <p>{say("walk.no-machines")}</p>;
  return (
    <>
      <ul class="list machines">
        {shown.slice(0, mostShown).map((machine) => (
          <li key={machine.id}>
            <ToMachine {...{ bundle, machine, person }} />
          </li>
        ))}
      </ul>
      {shown.length > mostShown && <p class="small">{say("walk.more", { count: shown.length - mostShown })}</p>}
      {shown.length === 0 && <p>{say("walk.none-like-it", { mark: wanted })}</p>}
    </>
  );
}

interface OneMachine {
  readonly bundle: OfflineBundle;
  readonly machine: BundleMachine;
  readonly person: Person;
}

/** A machine with its standing, and the way to it. */
const ToMachine = ({ bundle, machine, person }: OneMachine) => (
  <a class="button" href={to("walk", machine.registrationMark)}>
    <span class="mono">{machine.registrationMark}</span>
    <StandingMark standing={standingAt(machine.state, nowBy(bundle), depotRulesOf(bundle, machine)).standing} />
    <ForYou bundle={bundle} machine={machine} person={person} />
  </a>
);

/** What a standing means for this rider: somebody else's check clears only that person. */
function ForYou({ bundle, machine, person }: OneMachine) {
  const { standing } = standingAt(machine.state, nowBy(bundle), depotRulesOf(bundle, machine));
  const held = machine.state.clearances.find(({ riderId }) => riderId === person.id);
  const checked = machine.lately?.checkedToday ?? null;
  if (standing === "fit" && held) {
    return <span class="small for-you">{say("walk.list.cleared", { time: sayTime(held.validUntil, machine.timeZone) })}</span>;
  }
  if (standing === "unchecked" && checked !== null) {
    return <span class="small for-you">{say("walk.list.checked", { time: sayTime(checked.at, machine.timeZone) })}</span>;
  }
  return null;
}

/** Its code is loaded when it is used, so that the first screen stays small: most phones cannot scan. */
function ScanWhenHere(props: Parameters<typeof Scan>[0]) {
  const [Here, setHere] = useState<typeof Scan | null>(null);
  useEffect(() => {
    import("./scan.tsx").then(({ Scan }) => setHere(() => Scan), props.onClose);
  }, []);
  return Here && <Here {...props} />;
}
