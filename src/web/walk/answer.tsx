// The answer fills the screen: ride, ride with these defects, or do not ride and what to do now. Until the service has spoken it is this phone's.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Standing } from "../../../shared/contracts/common.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Clearance } from "../../../shared/rules/clearance.ts";
import type { Pace } from "../../../shared/rules/daily-check.ts";
import { sayPace } from "../../../shared/words/say-pace.ts";
import { type BundleMachine, depotRulesOf, nowBy, type OfflineBundle } from "../field/offline-bundle.ts";
import { answered, sendAll, takeOut, waiting } from "../field/outbox.ts";
import type { Decision, OverruledCheck, NotTaken as Refused } from "../field/waiting-shape.ts";
import { Dialog, StandingSign } from "../frame/parts.tsx";
import { go } from "../frame/route.ts";
import { keyOf, sayWhy, type WhyNot } from "../frame/say-why.ts";
import { useStore, useTimeOfDay } from "../frame/store.ts";
import { language, paperAt, say, sayTime } from "../frame/words.ts";
import { answerNow } from "./answer-now.ts";
import { NewsBeforeRide } from "./before.tsx";
import { NotHeard } from "./heard.tsx";
import { sayNotTaken } from "./say-not-taken.ts";
import { SentLine } from "./sent-line.tsx";
import { SteadyButton } from "./steady-button.tsx";
import { othersPieces, WaitsHere } from "./waits-here.tsx";

const sign = { ride: "fit", "ride-with-defects": "unchecked", "do-not-ride": "grounded" } as const;

export interface AnswerProps {
  readonly person: Person;
  readonly bundle: OfflineBundle;
  readonly machine: BundleMachine;
  readonly checkId: string;
  readonly performedAt: string;
  readonly judged: Clearance;
  readonly lately: BundleMachine["lately"];
  readonly pace: Pace;
  /** whether the reading of the day was taken */
  readonly read: boolean;
}

/** The answer is kept up to date: a machine that is grounded while its answer is on the screen may no longer be ridden. */
export function Answer({ person, bundle, machine, checkId, performedAt, judged, lately, pace, read }: AnswerProps) {
  useTimeOfDay();
  const receipt = useStore(answered).get(checkId);
  const pieces = useStore(waiting);
  const piece = pieces.find(({ id }) => id === checkId);
  const mark = machine.registrationMark;
  if (piece?.refused) return <NotTaken mark={mark} why={piece.refused} />;
  const said = {
    ...{ checkId, riderId: person.id },
    performedAt: receipt?.check.performedAt ?? performedAt,
    clearance: receipt?.clearance ?? judged,
  };
  const { decision, validUntil, reasons, ended } = answerNow(said, machine.state, nowBy(bundle), depotRulesOf(bundle, machine));
  if (decision === "run-out") return <RunOut mark={mark} checkId={checkId} />;
  // What somebody else wrote down on this phone was there before the check, and is shown with their name.
  const onThisPhone = othersPieces(pieces, bundle, person).some((one) => one.piece.body.machineId === machine.id);
  const overruled = receipt !== undefined && ended === null && decision !== judged.decision;
  return (
    <section class={`answer answer-${decision}`}>
      <Verdict
        decision={decision}
        mark={mark}
        until={validUntil === null ? null : sayTime(validUntil, machine.timeZone)}
        reasons={reasons}
        news={ended && !onThisPhone ? sayEnded(ended.groundedAt, machine) : null}
      />
      {overruled && <p class="notice">{say("walk.answer.overruled", { before: say(`walk.answer.${judged.decision}`) })}</p>}
      <WaitsHere person={person} bundle={bundle} machineId={machine.id} />
      <NotHeard bundle={bundle} />
      <NewsBeforeRide machine={{ timeZone: machine.timeZone, lately }} />
      <p class="took">
        {sayPace(pace, language())} {!read && say("walk.answer.unread")}
      </p>
      <SentLine id={checkId} />
      {receipt && (
        <p>
          <a href={paperAt(`/v1/daily-checks/${checkId}/report.pdf`)} target="_blank" rel="noopener">
            {say("walk.paper")}
          </a>
        </p>
      )}
      <p class="small">{say("caution.line")}</p>
      <div class="thumb">
        {!receipt && (
          <button type="button" onClick={() => void sendAll()}>
            {say("walk.sent.now")}
          </button>
        )}
        <SteadyButton
          shown={decision}
          act={() => {
            // It has been read here, so it need not be shown again later.
            if (overruled) void takeOut(checkId);
            go("walk");
          }}
        >
          {say(decision === "do-not-ride" ? "walk.answer.another" : "walk.answer.done")}
        </SteadyButton>
      </div>
    </section>
  );
}

function sayEnded(groundedAt: string | null, { timeZone, lately }: BundleMachine): string {
  if (groundedAt === null) return say("walk.answer.ended");
  const byOther = lately?.groundedBy === "somebody-else";
  return say(byOther ? "walk.answer.grounded-since.other" : "walk.answer.grounded-since", { time: sayTime(groundedAt, timeZone) });
}

/** The service has refused the check: it clears nobody, whatever this phone said before. */
function NotTaken({ mark, why }: { readonly mark: string; readonly why: Refused }) {
  return (
    <Instead kind="do-not-ride" standing="grounded" title={say("walk.answer.do-not-ride")} mark={mark}>
      <p role="alert" class="now">
        {say("walk.answer.not-taken", { why: sayNotTaken(why) })}
      </p>
    </Instead>
  );
}

/** Shown if the screen was left on: the answer was for that day only. */
function RunOut({ mark, checkId }: { readonly mark: string; readonly checkId: string }) {
  return (
    <Instead kind="ride-with-defects" standing="unchecked" title={say("walk.answer.run-out")} mark={mark}>
      <p class="now">{say("walk.answer.run-out.now")}</p>
      <SentLine id={checkId} />
    </Instead>
  );
}

interface InsteadProps {
  readonly kind: Decision;
  readonly standing: Standing;
  readonly title: string;
  readonly mark: string;
  readonly children: ComponentChildren;
}

function Instead({ kind, standing, title, mark, children }: InsteadProps) {
  return (
    <section class={`answer answer-${kind}`}>
      <Head standing={standing} title={title} mark={mark} />
      {children}
      <p class="small">{say("caution.line")}</p>
      <div class="thumb">
        <SteadyButton shown={title} act={() => go("walk")}>
          {say("walk.answer.done")}
        </SteadyButton>
      </div>
    </section>
  );
}

/** Sign, word and machine. Read out as soon as it is there. */
function Head({ standing, title, mark }: { readonly standing: Standing; readonly title: string; readonly mark: string }) {
  const head = useRef<HTMLHeadingElement>(null);
  useEffect(() => head.current?.focus(), [title]);
  return (
    <>
      <StandingSign standing={standing} />
      <h1 ref={head} tabIndex={-1}>
        {title}
      </h1>
      <p class="plate mono">{mark}</p>
    </>
  );
}

interface VerdictProps {
  readonly decision: Decision;
  readonly mark: string;
  readonly until: string | null;
  readonly reasons: readonly WhyNot[];
  /** what has happened since it was said */
  readonly news?: string | null;
}

/** The decision in sign and words, with what follows from it. */
export function Verdict({ decision, mark, until, reasons, news = null }: VerdictProps) {
  return (
    <>
      <Head standing={sign[decision]} title={say(`walk.answer.${decision}`)} mark={mark} />
      {news !== null && (
        <p class="now" role="alert">
          {news}
        </p>
      )}
      {until !== null && <p class="until">{say("walk.answer.until", { time: until })}</p>}
      {reasons.length > 0 && (
        <ul>
          {reasons.map((reason) => (
            <li key={keyOf(reason)}>{sayWhy(reason)}</li>
          ))}
        </ul>
      )}
      {decision !== "ride" && <p class="now">{say(isOfRiderAlone(reasons) ? "walk.answer.rider.now" : `walk.answer.${decision}.now`)}</p>}
    </>
  );
}

const ofRider: readonly string[] = ["rider-not-equipped", "licence-class"];

/** Whether all reasons are about the rider and none about the machine, which the next rider may use. */
const isOfRiderAlone = (reasons: readonly WhyNot[]): boolean =>
  reasons.some(({ code }) => ofRider.includes(code)) && reasons.every(({ code }) => ofRider.includes(code) || code === "minor-defect");

/** The service's answer where it differs from the phone's, for a check that was sent while nobody looked; as it is now. */
export function Overruled({ piece, bundle, machine, onRead }: OverruledProps) {
  const said = { checkId: piece.id, riderId: piece.staffId, performedAt: piece.body.performedAt, clearance: piece.overruled };
  const { decision, validUntil, reasons, ended } = answerNow(said, machine.state, nowBy(bundle), depotRulesOf(bundle, machine));
  if (decision === "run-out" || decision === piece.decision) return null;
  return (
    <Dialog title={say("walk.overruled")} onClose={onRead}>
      <div class={`answer answer-${decision}`}>
        <Verdict
          decision={decision}
          mark={machine.registrationMark}
          until={validUntil === null ? null : sayTime(validUntil, machine.timeZone)}
          reasons={reasons}
          news={ended && sayEnded(ended.groundedAt, machine)}
        />
      </div>
      <button type="button" class="main" onClick={onRead}>
        {say("walk.overruled.read")}
      </button>
    </Dialog>
  );
}

interface OverruledProps {
  readonly piece: OverruledCheck;
  readonly bundle: OfflineBundle;
  readonly machine: BundleMachine;
  readonly onRead: () => void;
}
