// A note on a defect: by a mechanic or a manager, at any time.
import { useState } from "preact/hooks";
import type { CourseReceipt } from "../../../shared/contracts/defects.ts";
import { limits } from "../../../shared/contracts/limits.ts";
import { useAct } from "../frame/act.ts";
import { Trouble } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";

/** A button that opens the note. */
export function AddNote({ defectId, onDone }: { defectId: string; onDone: () => void }) {
  const [open, setOpen] = useState(false);
  const [note, setNote] = useState("");
  const sent = useAct<CourseReceipt>(onDone);
  if (!open) {
    return (
      <p>
        <button type="button" onClick={() => setOpen(true)}>
          {say("bench.note.add")}
        </button>
      </p>
    );
  }
  return (
    <section class="acts">
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void sent.send(`/v1/defects/${defectId}/notes`, { note: note.trim() });
        }}
      >
        <label>
          <span>{say("bench.note")}</span>
          <textarea
            dir="auto"
            rows={3}
            maxLength={limits.note}
            required
            value={note}
            onInput={({ currentTarget: { value } }) => setNote(value)}
          />
        </label>
        <Trouble error={sent.error} />
        <button type="submit" class="main" disabled={sent.busy}>
          {say("bench.note.do")}
        </button>
      </form>
    </section>
  );
}
