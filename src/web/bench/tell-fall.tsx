// A fall or collision that somebody heard of: told at the desk, for a rider who cannot.
import { useState } from "preact/hooks";
import type { FallReceipt } from "../../../shared/contracts/falls.ts";
import type { Machine } from "../../../shared/contracts/fleet.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import { useAct } from "../frame/act.ts";
import { localText } from "../frame/local-text.ts";
import { Trouble } from "../frame/parts.tsx";
import { WhatHappened } from "../frame/what-happened.tsx";
import { say } from "../frame/words.ts";

interface TellFallProps {
  readonly machine: Machine;
  readonly onDone: () => void;
}

export function TellFall({ machine, onDone }: TellFallProps) {
  const [told, setTold] = useState<{ readonly hit: string | null; readonly bent: readonly string[] }>({ hit: null, bent: [] });
  const [happenedAt, setHappenedAt] = useState(() => localText(new Date()));
  const [note, setNote] = useState("");
  const sent = useAct<FallReceipt>(onDone);
  const submit = (event: Event) => {
    event.preventDefault();
    void sent.send(`/v1/machines/${machine.id}/falls`, {
      ...{ hit: told.hit, happenedAt: new Date(happenedAt).toISOString() },
      ...(told.bent.length > 0 ? { bent: told.bent } : {}),
      ...(note.trim() === "" ? {} : { note: note.trim() }),
    });
  };
  return (
    <section>
      <h2>{say("bench.fall")}</h2>
      <details>
        <summary>{say("walk.fall.title")}</summary>
        <form class="paper-form" onSubmit={submit}>
          <WhatHappened told={told} features={null} change={(part) => setTold((before) => ({ ...before, ...part }))} />
          <label class="short">
            <span>{say("walk.fall.when")}</span>
            <input
              type="datetime-local"
              required
              max={localText(new Date())}
              value={happenedAt}
              onInput={(event) => setHappenedAt(event.currentTarget.value)}
            />
          </label>
          <label>
            <span>{say("walk.note")}</span>
            <textarea dir="auto" rows={2} maxLength={limits.note} value={note} onInput={(event) => setNote(event.currentTarget.value)} />
          </label>
          <p class="notice">{say("walk.fall.then")}</p>
          <Trouble error={sent.error} />
          <button type="submit" class="main" disabled={sent.busy}>
            {say("walk.report.send")}
          </button>
        </form>
      </details>
    </section>
  );
}
