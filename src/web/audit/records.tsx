// The records of a month, one a line: read as a stream, and of a large month only the first are kept.
import { useRef, useState } from "preact/hooks";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { call, fetchFrom } from "../frame/call.ts";
import { Pick, Trouble } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { say, sayCounted, sayKey, sayMoment, sayNumber } from "../frame/words.ts";

interface Line {
  readonly id: string;
  readonly kind: string;
  readonly machineId: string | null;
  readonly performedAt: string;
  readonly recordedAt: string;
  readonly data: unknown;
}

const mostKept = 5000;
const atOnce = 100;

interface Read {
  readonly lines: readonly Line[];
  readonly count: number;
  readonly done: boolean;
}

export function Records({ query, mark }: { query: string; mark: string }) {
  const [read, setRead] = useState<Read | null>(null);
  const [marks, setMarks] = useState<ReadonlyMap<string, string>>(new Map());
  const [error, setError] = useState<unknown>(null);
  const [kind, setKind] = useState("");
  const [shown, setShown] = useState(atOnce);
  const stop = useRef<AbortController | null>(null);
  const begin = async () => {
    stop.current?.abort();
    const now = new AbortController();
    stop.current = now;
    setError(null);
    setRead({ lines: [], count: 0, done: false });
    try {
      // Read only for the marks: a record names its machine by id.
      const board = await call<Readiness>("/v1/readiness", { signal: now.signal });
      setMarks(new Map(board.machines.map(({ machineId, registrationMark }) => [machineId, registrationMark])));
      await stream(`/v1/records?${query}&format=ndjson`, now.signal, setRead);
    } catch (trouble) {
      if (!now.signal.aborted) setError(trouble);
    }
  };
  const wanted = mark.replace(/\s/g, "").toUpperCase();
  const kinds = [...new Set(read?.lines.map((line) => line.kind) ?? [])].sort();
  const lines = (read?.lines ?? []).filter(
    (line) => (kind === "" || line.kind === kind) && (wanted === "" || (marks.get(line.machineId ?? "") ?? "").includes(wanted)),
  );
  return (
    <section>
      <h2>{say("desk.records")}</h2>
      <p>{say("desk.take.recorded")}</p>
      <button type="button" onClick={() => void begin()}>
        {say(read === null ? "desk.records.read" : "desk.records.again")}
      </button>
      <Trouble error={error} />
      {read && (
        <>
          <p role="status">
            {sayCounted(read.done ? "desk.records.count" : "desk.records.reading", read.count)}
            {read.count > mostKept && ` ${say("desk.records.most", { count: sayNumber(mostKept) })}`}
          </p>
          {kinds.length > 0 && (
            <Pick
              label={say("desk.kind")}
              value={kind}
              options={[{ value: "", text: say("desk.kind.all") }, ...kinds.map((value) => ({ value, text: nameOfKind(value) }))]}
              onChange={setKind}
            />
          )}
          {read.done && lines.length === 0 && <p>{say("page.nothing")}</p>}
          {lines.length > 0 && <RecordTable lines={lines.slice(0, shown)} marks={marks} />}
          {lines.length > shown && (
            <button type="button" onClick={() => setShown(shown + 5 * atOnce)}>
              {say("board.more", { count: sayNumber(lines.length - shown) })}
            </button>
          )}
        </>
      )}
    </section>
  );
}

function RecordTable({ lines, marks }: { readonly lines: readonly Line[]; readonly marks: ReadonlyMap<string, string> }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
    <section class="wide" tabIndex={0} aria-label={say("desk.records")}>
      <table>
        <thead>
          <tr>
            <th scope="col">{say("desk.arrived")}</th>
            <th scope="col">{say("board.machine")}</th>
            <th scope="col">{say("desk.kind")}</th>
            <th scope="col">{say("desk.done")}</th>
          </tr>
        </thead>
        <tbody>
          {lines.map((line) => (
            <tr key={line.id}>
              <th scope="row">
                <a href={to("audit", "record", line.id)}>{sayMoment(line.recordedAt)}</a>
              </th>
              <td class="mono">{line.machineId === null ? "" : (marks.get(line.machineId) ?? line.machineId)}</td>
              <td>
                {nameOfKind(line.kind)}
                {line.data === null && <div class="small">{say("bench.forgotten")}</div>}
              </td>
              <td>{sayMoment(line.performedAt)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** The names of kinds are words of the records themselves, as they stand in the file. */
const nameOfKind = (kind: string): string => sayKey(`entry.${kind}`, kind);

async function stream(path: string, signal: AbortSignal, onRead: (read: Read) => void): Promise<void> {
  const { body } = await fetchFrom(path, { signal });
  if (!body) return;
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  const lines: Line[] = [];
  let count = 0;
  let rest = "";
  for (;;) {
    const { done, value } = await reader.read();
    const parts = (rest + (value ?? "")).split("\n");
    rest = done ? "" : (parts.pop() ?? "");
    for (const part of parts) {
      if (part === "") continue;
      count += 1;
      if (lines.length >= mostKept) continue;
      const { id, kind, machineId, performedAt, recordedAt, data } = JSON.parse(part) as Line;
      // Its data is read again when it is opened.
      lines.push({ id, kind, machineId, performedAt, recordedAt, data: data === null ? null : true });
    }
    onRead({ lines: [...lines], count, done });
    if (done) return;
  }
}
