// A machine goes to another workshop: where, what for, since when, and when it is expected back.
import { useState } from "preact/hooks";
import type { Machine } from "../../../shared/contracts/fleet.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { SendOutReceipt } from "../../../shared/contracts/outside-work.ts";
import { useAct } from "../frame/act.ts";
import { localText } from "../frame/local-text.ts";
import { Trouble } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { say } from "../frame/words.ts";

/** The record of the stay at another workshop; undefined where the machine is here. */
export const awayWith = ({ reasons }: Pick<Machine, "reasons">): string | undefined =>
  reasons.find(({ code }) => code === "away" || code === "away-late")?.workId;

interface SendOutProps {
  readonly machine: Machine;
  readonly onDone: () => void;
}

export function OutsideWork({ machine, onDone }: SendOutProps) {
  const workId = awayWith(machine);
  return (
    <section>
      <h2>{say("outside.title")}</h2>
      {workId === undefined ? (
        <details>
          <summary>{say("outside.send")}</summary>
          <SendOut machine={machine} onDone={onDone} />
        </details>
      ) : (
        <p>
          <a class="button main" href={to("bench", "outside", workId)}>
            {say("outside.take-back")}
          </a>
        </p>
      )}
    </section>
  );
}

function SendOut({ machine, onDone }: SendOutProps) {
  const [workshop, setWorkshop] = useState("");
  const [reason, setReason] = useState("");
  const [since, setSince] = useState(() => localText(new Date()));
  const [expectedDay, setDay] = useState("");
  const sent = useAct<SendOutReceipt>(onDone);
  const submit = (event: Event) => {
    event.preventDefault();
    const what = { workshop: workshop.trim(), reason: reason.trim(), expectedDay };
    void sent.send(`/v1/machines/${machine.id}/outside-work`, { ...what, since: new Date(since).toISOString() });
  };
  return (
    <form class="paper-form" onSubmit={submit}>
      <label>
        <span>{say("outside.workshop")}</span>
        <input
          required
          dir="auto"
          maxLength={limits.workshop}
          value={workshop}
          onInput={(event) => setWorkshop(event.currentTarget.value)}
        />
      </label>
      <label>
        <span>{say("outside.reason")}</span>
        <textarea
          required
          dir="auto"
          rows={2}
          maxLength={limits.note}
          value={reason}
          onInput={(event) => setReason(event.currentTarget.value)}
        />
      </label>
      <div class="row">
        <label class="short">
          <span>{say("outside.since")}</span>
          <input
            type="datetime-local"
            required
            max={localText(new Date())}
            value={since}
            onInput={(event) => setSince(event.currentTarget.value)}
          />
        </label>
        <label class="short">
          <span>{say("outside.expected")}</span>
          <input type="date" required min={since.slice(0, 10)} value={expectedDay} onInput={(event) => setDay(event.currentTarget.value)} />
        </label>
      </div>
      <p class="notice">{say("outside.follows", { mark: machine.registrationMark })}</p>
      <Trouble error={sent.error} />
      <button type="submit" class="main" disabled={sent.busy}>
        {say("outside.send.do")}
      </button>
    </form>
  );
}
