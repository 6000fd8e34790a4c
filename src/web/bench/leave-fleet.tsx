// How a manager takes a machine out of the fleet that was sold or scrapped, and brings one back of which that was said by mistake.
import { useState } from "preact/hooks";
import type { Machine, MachineAmendment } from "../../../shared/contracts/fleet.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Disposal } from "../../../shared/rules/machine-state.ts";
import { call } from "../frame/call.ts";
import { Choice, Trouble } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";

/** Whether the machine was sold or scrapped. */
export const hasLeft = ({ reasons }: Pick<Machine, "reasons">): boolean =>
  reasons.some(({ code }) => code === "sold" || code === "scrapped");

interface LeaveFleetProps {
  readonly machine: Machine;
  readonly onChanged: () => void;
}

export function LeaveFleet({ machine, onChanged }: LeaveFleetProps) {
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const [done, setDone] = useState(false);
  const amend = (change: MachineAmendment) => {
    setBusy(true);
    setError(null);
    call<Machine>(`/v1/machines/${machine.id}`, { method: "PATCH", body: change })
      .then(() => {
        setDone(true);
        onChanged();
      }, setError)
      .finally(() => setBusy(false));
  };
  const left = hasLeft(machine);
  const Form = left ? ComeBack : Leave;
  return (
    <section>
      <h2>{say("leave-fleet.title")}</h2>
      <div role="status">
        {done && <p class="notice">{say(left ? "leave-fleet.left" : "leave-fleet.back", { mark: machine.registrationMark })}</p>}
      </div>
      <details key={String(left)}>
        <summary>{say(left ? "leave-fleet.bring-back" : "leave-fleet.say")}</summary>
        <Form mark={machine.registrationMark} busy={busy} error={error} amend={amend} />
      </details>
    </section>
  );
}

interface FormProps {
  readonly mark: string;
  readonly busy: boolean;
  readonly error: unknown;
  readonly amend: (change: MachineAmendment) => void;
}

function Leave({ mark, busy, error, amend }: FormProps) {
  const [how, setHow] = useState<Disposal>("sold");
  const [note, setNote] = useState("");
  return (
    <form
      class="paper-form"
      onSubmit={(event) => {
        event.preventDefault();
        amend({ disposed: { how, ...(note.trim() === "" ? {} : { note: note.trim() }) } });
      }}
    >
      <Choice
        label={say("leave-fleet.how")}
        value={how}
        options={(["sold", "scrapped"] as const).map((value) => ({ value, text: say(`leave-fleet.how.${value}`) }))}
        onChange={setHow}
      />
      <label>
        <span>{say("leave-fleet.note")}</span>
        <textarea
          dir="auto"
          rows={2}
          maxLength={limits.withdrawalReason}
          value={note}
          onInput={(event) => setNote(event.currentTarget.value)}
        />
      </label>
      <p class="notice">{say("leave-fleet.follows", { mark })}</p>
      <Trouble error={error} />
      <button type="submit" class="main" disabled={busy}>
        {say(`leave-fleet.do.${how}`)}
      </button>
    </form>
  );
}

function ComeBack({ mark, busy, error, amend }: FormProps) {
  const [now, setNow] = useState(mark);
  return (
    <form
      class="paper-form"
      onSubmit={(event) => {
        event.preventDefault();
        amend({ disposed: null, ...(now.trim() === mark ? {} : { registrationMark: now }) });
      }}
    >
      <label class="short">
        <span>{say("leave-fleet.mark")}</span>
        <input
          required
          class="mono"
          autocomplete="off"
          spellcheck={false}
          maxLength={40}
          value={now}
          onInput={(event) => setNow(event.currentTarget.value)}
        />
      </label>
      <p class="notice">{say("leave-fleet.back-follows")}</p>
      <Trouble error={error} />
      <button type="submit" class="main" disabled={busy}>
        {say("leave-fleet.bring-back.do")}
      </button>
    </form>
  );
}
