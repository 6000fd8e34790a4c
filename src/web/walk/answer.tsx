// The answer fills the screen: ride, ride with these defects, or do not ride and what to do now. Until the service has spoken it is this phone's.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { DailyCheckReceipt } from "../../../shared/contracts/checks.ts";
import type { Standing } from "../../../shared/contracts/common.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import type { Clearance } from "../../../shared/rules/clearance.ts";
import { type KitMachine, kit, nowBy } from "../field/kit.ts";
import { answered, type Decision, sendAll, takeOut, waiting } from "../field/outbox.ts";
import { Dialog, StandingSign } from "../frame/parts.tsx";
import { go } from "../frame/route.ts";
import { sayWhy, type WhyNot } from "../frame/say-why.ts";
import { useStore, useTimeOfDay } from "../frame/store.ts";
import { say, sayTime } from "../frame/words.ts";
import { sayNotTaken } from "./say-not-taken.ts";
import { SentLine } from "./sent-line.tsx";
import { SteadyButton } from "./steady-button.tsx";

const sign = { ride: "fit", "ride-with-defects": "unchecked", "do-not-ride": "grounded" } as const;

export interface AnswerProps {
  readonly person: Person;
  readonly machine: KitMachine;
  readonly checkId: string;
  readonly judged: Clearance;
}

export function Answer({ machine, checkId, judged }: AnswerProps) {
  useTimeOfDay();
  const receipt = useStore(answered).get(checkId);
  const piece = useStore(waiting).find(({ id }) => id === checkId);
  const now = nowBy(useStore(kit));
  const clearance: Clearance | DailyCheckReceipt["clearance"] = receipt?.clearance ?? judged;
  const overruled = receipt !== undefined && receipt.clearance.decision !== judged.decision;
  const { validUntil } = clearance;
  const mark = machine.registrationMark;
  if (piece?.refused) return <NotTaken mark={mark} code={piece.refused.code} detail={piece.refused.detail} />;
  if (validUntil !== null && new Date(validUntil) <= now) return <RunOut mark={mark} checkId={checkId} />;
  return (
    <section class={`answer answer-${clearance.decision}`}>
      <Verdict
        decision={clearance.decision}
        mark={mark}
        until={validUntil === null ? null : sayTime(validUntil, machine.timeZone)}
        reasons={clearance.reasons}
      />
      {overruled && <p class="notice">{say("walk.answer.overruled", { before: say(`walk.answer.${judged.decision}`) })}</p>}
      <SentLine id={checkId} />
      <p class="small">{say("caution.line")}</p>
      <div class="thumb">
        {!receipt && (
          <button type="button" onClick={() => void sendAll()}>
            {say("walk.sent.now")}
          </button>
        )}
        <SteadyButton
          shown={clearance.decision}
          act={() => {
            // It was read here, so it need not be said once more.
            if (overruled) void takeOut(checkId);
            go("walk");
          }}
        >
          {say(clearance.decision === "do-not-ride" ? "walk.answer.another" : "walk.answer.done")}
        </SteadyButton>
      </div>
    </section>
  );
}

/** The service has refused the check: nobody is cleared by it, whatever this phone thought. */
function NotTaken({ mark, code, detail }: { readonly mark: string; readonly code: string; readonly detail: string }) {
  return (
    <Instead kind="do-not-ride" standing="grounded" title={say("walk.answer.do-not-ride")} mark={mark}>
      <p role="alert" class="now">
        {say("walk.answer.not-taken", { why: sayNotTaken(code, detail) })}
      </p>
    </Instead>
  );
}

/** The screen was left on: what it said held for that day. */
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
}

/** The decision in sign and words, with what follows from it. */
export function Verdict({ decision, mark, until, reasons }: VerdictProps) {
  return (
    <>
      <Head standing={sign[decision]} title={say(`walk.answer.${decision}`)} mark={mark} />
      {until !== null && <p class="until">{say("walk.answer.until", { time: until })}</p>}
      {reasons.length > 0 && (
        <ul>
          {reasons.map((reason) => (
            <li key={`${reason.code} ${reason.defectId ?? reason.itemId ?? reason.paperKind ?? ""}`}>{sayWhy(reason)}</li>
          ))}
        </ul>
      )}
      {decision !== "ride" && <p class="now">{say(`walk.answer.${decision}.now`)}</p>}
    </>
  );
}

/** What the service says instead of what this phone said, for a check that was sent while nobody looked. */
export function Overruled({ mark, timeZone, clearance, onRead }: OverruledProps) {
  return (
    <Dialog title={say("walk.overruled")} onClose={onRead}>
      <div class={`answer answer-${clearance.decision}`}>
        <Verdict
          decision={clearance.decision}
          mark={mark}
          until={clearance.validUntil === null ? null : sayTime(clearance.validUntil, timeZone)}
          reasons={clearance.reasons}
        />
      </div>
      <button type="button" class="main" onClick={onRead}>
        {say("walk.overruled.read")}
      </button>
    </Dialog>
  );
}

interface OverruledProps {
  readonly mark: string;
  readonly timeZone: string | undefined;
  readonly clearance: DailyCheckReceipt["clearance"];
  readonly onRead: () => void;
}
