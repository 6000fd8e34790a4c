// Before the walk: what grounds the machine and since when, which known defects may be ridden with, what was repaired, who else checked today.
import type { Person } from "../../../shared/contracts/people.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { type OpenDefect, partExpected } from "../../../shared/rules/machine-state.ts";
import { obstacles, standingAt, toleratedDefects } from "../../../shared/rules/standing.ts";
import { nameOfDefect } from "../../../shared/words/say-reason.ts";
import { type BundleMachine, nowBy, type OfflineBundle } from "../field/offline-bundle.ts";
import { waiting } from "../field/outbox.ts";
import { StandingSign } from "../frame/parts.tsx";
import { go, to } from "../frame/route.ts";
import { keyOf, sayWhy } from "../frame/say-why.ts";
import { useStore, useTimeOfDay } from "../frame/store.ts";
import { language, say, sayDay, sayMoment, sayTime } from "../frame/words.ts";
import { NotHeard } from "./heard.tsx";
import { dayOf, seenOf } from "./known.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { othersPieces, WaitsHere } from "./waits-here.tsx";

export interface BeforeProps {
  readonly person: Person;
  readonly bundle: OfflineBundle;
  readonly machine: BundleMachine;
  readonly checked: CheckedMachine;
  readonly onWalk: () => void;
}

type About = Omit<BeforeProps, "onWalk">;

/** Whether there is anything to show: if not, the walk begins at once. */
export function useIsToTell({ person, bundle, machine, checked }: About): boolean {
  const others = othersPieces(useStore(waiting), bundle, person).some(({ piece }) => piece.body.machineId === machine.id);
  const now = nowBy(bundle);
  const { checkedToday, putRight } = machine.lately ?? { checkedToday: null, putRight: [] };
  return (
    others ||
    checkedToday !== null ||
    putRight.length > 0 ||
    obstacles(machine.state, now, checked.depotRules).length > 0 ||
    toleratedDefects(machine.state, now, checked.depotRules).length > 0
  );
}

export function Before({ person, bundle, machine, checked, onWalk }: BeforeProps) {
  useTimeOfDay();
  const now = nowBy(bundle);
  const { state, timeZone } = machine;
  const against = obstacles(state, now, checked.depotRules);
  const tolerated = new Set(toleratedDefects(state, now, checked.depotRules).map(({ defectId }) => defectId));
  const known = state.defects.filter(({ id }) => tolerated.has(id));
  const stands = against.length > 0;
  return (
    <section class="walk before">
      <header>
        <p class="plate mono">{machine.registrationMark}</p>
      </header>
      {stands ? (
        <>
          <h1 class="before-standing">
            <StandingSign standing={standingAt(state, now, checked.depotRules).standing} />{" "}
            {say(`standing.${standingAt(state, now, checked.depotRules).standing}`)}
          </h1>
          <p>{say("walk.before.against")}</p>
          <ul>
            {against.map((reason) => (
              <li key={keyOf(reason)}>
                <strong>{sayWhy(reason)}</strong>
                <Seen defect={state.defects.find(({ id }) => id === reason.defectId)} timeZone={timeZone} />
              </li>
            ))}
          </ul>
        </>
      ) : (
        <h1>{say("walk.before")}</h1>
      )}
      <WaitsHere person={person} bundle={bundle} machineId={machine.id} />
      <NotHeard bundle={bundle} />
      {known.length > 0 && <Known defects={known} timeZone={timeZone} />}
      <NewsBeforeRide machine={machine} />
      <p class="small">{say("caution.line")}</p>
      {stands ? (
        <>
          <div class="row before-all-the-same">
            <button type="button" onClick={onWalk}>
              {say("walk.before.all-the-same")}
            </button>
            <a class="button quiet" href={to("walk", machine.registrationMark, "report")}>
              {say("walk.report")}
            </a>
            <a class="button quiet" href={to("walk", machine.registrationMark, "fall")}>
              {say("walk.fall")}
            </a>
          </div>
          <p class="small">{say("walk.before.will-not-clear")}</p>
          <div class="thumb">
            <SteadyButton shown="another" act={() => go("walk")}>
              {say("walk.before.another")}
            </SteadyButton>
          </div>
        </>
      ) : (
        <div class="thumb">
          <a class="button" href={to("walk")}>
            {say("page.back")}
          </a>
          <SteadyButton shown="before" act={onWalk}>
            {say("walk.before.go")}
          </SteadyButton>
        </div>
      )}
    </section>
  );
}

/** The known defects that may be ridden with. */
function Known({ defects, timeZone }: { defects: readonly OpenDefect[]; timeZone: string }) {
  return (
    <section>
      <h2>{say("walk.before.known")}</h2>
      <ul>
        {defects.map((defect) => (
          <li key={defect.id}>
            <strong>{nameOfDefect({ itemId: defect.itemId, note: null, campaign: defect.campaign?.name }, language())}</strong>
            {seenOf(defect) !== "" && `: ${seenOf(defect)}`}
            <br />
            {say(`walk.before.known.${defect.status}`, { day: dayOf(defect, timeZone) })}{" "}
            {defect.dueDay !== null && say("walk.before.known.by", { day: sayDay(defect.dueDay) })}
            <Expected defect={defect} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Expected({ defect }: { defect: OpenDefect }) {
  const day = partExpected(defect);
  return day === null ? null : <> {say("walk.before.known.waits", { day: sayDay(day) })}</>;
}

/** When a defect that grounds it was seen, what it was, and when it was seen again. */
function Seen({ defect, timeZone }: { defect: OpenDefect | undefined; timeZone: string }) {
  // Nobody saw what a campaign has done.
  if (!defect || defect.campaign) return null;
  const what = seenOf(defect);
  const since = sayMoment(defect.seenAt, timeZone);
  return (
    <>
      <br />
      {what === "" ? say("walk.before.seen.only", { since }) : say("walk.before.seen", { since, what })}
      {defect.sightings > 1 && `; ${say("walk.before.again", { since: sayMoment(defect.lastSeenAt, timeZone) })}`}
    </>
  );
}

/** What was repaired since the machine was last cleared, and who else checked it today. Shown before the walk and with its answer. */
export function NewsBeforeRide({ machine: { lately, timeZone } }: { machine: Pick<BundleMachine, "lately" | "timeZone"> }) {
  const { checkedToday, putRight } = lately ?? { checkedToday: null, putRight: [] };
  return (
    <>
      {putRight.length > 0 && (
        <section>
          <h2>{say("walk.before.put-right")}</h2>
          <ul>
            {putRight.map(({ itemId, how, at, by, campaign }) => (
              <li key={`${itemId} ${at}`}>
                {say(how === "not-found" ? "walk.before.put-right.not-found" : "walk.before.put-right.signed-off", {
                  ...{ item: nameOfDefect({ itemId, note: null, campaign }, language()), by },
                  at: sayMoment(at, timeZone),
                })}
              </li>
            ))}
          </ul>
        </section>
      )}
      {checkedToday !== null && (
        <p>
          {say(checkedToday.decision === "do-not-ride" ? "walk.before.checked.grounded" : "walk.before.checked", {
            time: sayTime(checkedToday.at, timeZone),
          })}
        </p>
      )}
    </>
  );
}
