// Which machine: scanned, typed, or picked. What the rider is cleared for already stands first.
import { useEffect, useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import { standingAt } from "../../../shared/rules/standing.ts";
import {
  type BundleMachine,
  bundleIsOld,
  clockOffMinutes,
  machineByMark,
  nowBy,
  type OfflineBundle,
  placeOf,
} from "../field/offline-bundle.ts";
import { StandingMark } from "../frame/parts.tsx";
import { PlainHttp } from "../frame/plain-http-notice.tsx";
import { go, to } from "../frame/route.ts";
import { useTimeOfDay } from "../frame/store.ts";
import { say, sayCounted, sayMoment, sayTime } from "../frame/words.ts";
import { canScan } from "./can-scan.ts";
import { DepotChoice } from "./depot-choice.tsx";
import type { Scan } from "./scan.tsx";

const mostShown = 40;
const oldAfterMs = 15 * 60_000;

export function ChooseMachine({
  bundle,
  person,
  fresh,
  onRefresh,
}: {
  bundle: OfflineBundle;
  person: Person;
  fresh: boolean;
  onRefresh: () => void;
}) {
  const [text, setText] = useState("");
  const [scanning, setScanning] = useState(false);
  const [unknown, setUnknown] = useState<string | null>(null);
  useTimeOfDay();
  const now = nowBy(bundle);
  const off = clockOffMinutes(bundle);
  const old = bundleIsOld(bundle);
  const wanted = text.replace(/\s/g, "").toUpperCase();
  const shown = bundle.machines.filter(({ registrationMark }) => registrationMark.includes(wanted));
  const cleared = bundle.machines.flatMap((machine) =>
    machine.state.clearances
      .filter(({ riderId, validUntil }) => riderId === person.id && new Date(validUntil) > now)
      .map(({ validUntil, decision }) => ({ machine, validUntil, decision })),
  );
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
      {cleared.map(({ machine, validUntil, decision }) => (
        <div key={machine.id} class={old ? "cleared cleared-once" : "cleared"}>
          <p>{say(`walk.cleared.${decision}`, { mark: machine.registrationMark, time: sayTime(validUntil, machine.timeZone) })}</p>
          {old && <p>{say("walk.cleared.as-known", { at: sayMoment(bundle.at) })}</p>}
          <a class="button" href={to("walk", machine.registrationMark, "report")}>
            {say("walk.report")}
          </a>
        </div>
      ))}
      <form
        class="find"
        onSubmit={(event) => {
          event.preventDefault();
          if (text.trim() !== "") take(text);
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
            onInput={(event) => {
              setText(event.currentTarget.value);
              setUnknown(null);
            }}
          />
        </label>
        {canScan() && (
          <button type="button" onClick={() => setScanning(true)}>
            {say("walk.scan")}
          </button>
        )}
      </form>
      {unknown !== null && (
        <p class="trouble" role="alert">
          {say("walk.unknown", { mark: unknown })}
        </p>
      )}
      {scanning && (
        <ScanWhenHere
          onText={(seen) => {
            const known = take(seen);
            if (known) setScanning(false);
            return known;
          }}
          onClose={() => setScanning(false)}
        />
      )}
      <DepotChoice person={person} onChoose={onRefresh} />
      {bundle.cut && <p class="notice">{say("walk.cut", { count: bundle.machines.length })}</p>}
      {bundle.machines.length === 0 ? (
        <p>{say("walk.no-machines")}</p>
      ) : (
        <ul class="list machines">
          {shown.slice(0, mostShown).map((machine) => (
            <li key={machine.id}>
              <a class="button" href={to("walk", machine.registrationMark)}>
                <span class="mono">{machine.registrationMark}</span>
                <StandingMark standing={standingAt(machine.state, now, placeOf(bundle, machine)).standing} />
                <ForYou bundle={bundle} machine={machine} person={person} />
              </a>
            </li>
          ))}
        </ul>
      )}
      {shown.length > mostShown && <p class="small">{say("walk.more", { count: shown.length - mostShown })}</p>}
      {shown.length === 0 && bundle.machines.length > 0 && <p>{say("walk.none-like-it", { mark: wanted })}</p>}
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

/** What a standing means for this rider: a check of somebody else clears nobody but them. */
function ForYou({ bundle, machine, person }: { bundle: OfflineBundle; machine: BundleMachine; person: Person }) {
  const { standing } = standingAt(machine.state, nowBy(bundle), placeOf(bundle, machine));
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

/** Fetched when it is asked for: most phones have none of what it needs, and the first screen stays small. */
function ScanWhenHere(props: Parameters<typeof Scan>[0]) {
  const [Here, setHere] = useState<typeof Scan | null>(null);
  useEffect(() => {
    import("./scan.tsx").then(({ Scan }) => setHere(() => Scan), props.onClose);
  }, []);
  return Here && <Here {...props} />;
}
