// A CSV file of parts: taken whole, or refused with what is wrong in each row.
import { useState } from "preact/hooks";
import type { PartImportReceipt } from "../../../shared/contracts/parts.ts";
import { call, Problem } from "../frame/call.ts";
import { Trouble } from "../frame/parts.tsx";
import { asServiceSpeaks, say, sayNumber } from "../frame/words.ts";

export function ImportParts({ onImported }: { onImported: () => void }) {
  const [file, setFile] = useState<File | null>(null);
  const [state, setState] = useState<{ busy: boolean; error: unknown; done: PartImportReceipt | null }>({
    ...{ busy: false, error: null, done: null },
  });
  const send = async (event: Event) => {
    event.preventDefault();
    if (file === null) return;
    setState({ busy: true, error: null, done: null });
    try {
      const body = new Blob([await file.arrayBuffer()], { type: "text/csv" });
      const done = await call<PartImportReceipt>("/v1/parts/import", { method: "POST", body });
      setState({ busy: false, error: null, done });
      onImported();
    } catch (error) {
      setState({ busy: false, error, done: null });
    }
  };
  const { busy, error, done } = state;
  const isRefused = error instanceof Problem && error.code === "import-refused";
  return (
    <form class="paper-form" onSubmit={(event) => void send(event)}>
      <h2>{say("parts.import")}</h2>
      <p class="small">{say("parts.import.how")}</p>
      <label>
        <span>{say("parts.import.file")}</span>
        <input type="file" accept=".csv,text/csv" required onChange={({ currentTarget: { files } }) => setFile(files?.[0] ?? null)} />
      </label>
      <Trouble error={isRefused ? new Problem({ status: error.status, code: error.code, detail: error.message }) : error} />
      {isRefused && (
        <ul class="list">
          {error.issues.map((issue) => (
            <li key={`${issue.pointer} ${issue.message}`}>{sayIssue(issue)}</li>
          ))}
        </ul>
      )}
      {done && (
        <p role="status">
          {say("parts.import.done", {
            ...{ read: sayNumber(done.read), added: sayNumber(done.added) },
            ...{ changed: sayNumber(done.changed), unchanged: sayNumber(done.unchanged) },
          })}
        </p>
      )}
      <button type="submit" class="main" disabled={busy || file === null}>
        {say("parts.import.do")}
      </button>
    </form>
  );
}

const columns = ["number", "name", "price", "fromDay"] as const;

/** What is wrong, in the service's own words where the page speaks its language; else by the column. */
function sayIssue({ pointer, message }: { pointer: string; message: string }): string {
  const [, , row = "", column] = pointer.split("/");
  const known = columns.find((one) => one === column);
  const wrong = asServiceSpeaks() ? message : say(`parts.import.wrong.${known ?? "other"}`);
  if (row === "") return wrong;
  return column === undefined ? say("parts.import.whole-row", { row, wrong }) : say("parts.import.row", { row, column, wrong });
}
