// Machines by day: a letter and a shape for each day, and the month's totals. Read page by page, as a fleet may be large.
import { useEffect, useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Completeness, DayVerdict } from "../../../shared/contracts/reports.ts";
import { call } from "../frame/call.ts";
import { Trouble, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayNone } from "../frame/say-none.ts";
import { say, sayNumber } from "../frame/words.ts";

const verdicts: readonly DayVerdict[] = ["nil", "nothing-new", "defect", "ridden", "missing", "not-in-use", "withdrawn", "outside"];
/** Letters, so that the days can be distinguished without colour. */
const letters: Readonly<Record<DayVerdict, string>> = {
  nil: "✓",
  "nothing-new": "✓D",
  defect: "D",
  ridden: "R!",
  missing: "?",
  "not-in-use": "–",
  withdrawn: "w",
  outside: "",
};
const counted: readonly DayVerdict[] = ["nil", "nothing-new", "defect", "missing", "ridden"];

export function CompletenessTable({ month, depot, mark }: { month: string; depot: Depot; mark: string }) {
  const [pages, setPages] = useState<readonly Completeness[]>([]);
  const [error, setError] = useState<unknown>(null);
  const [busy, setBusy] = useState(true);
  const read = async (cursor: string | null) => {
    setBusy(true);
    setError(null);
    try {
      const more = cursor === null ? "" : `&cursor=${encodeURIComponent(cursor)}`;
      const page = await call<Completeness>(`/v1/completeness?month=${month}&depotId=${depot.id}${more}`);
      setPages((before) => (cursor === null ? [page] : [...before, page]));
    } catch (trouble) {
      setError(trouble);
    } finally {
      setBusy(false);
    }
  };
  useEffect(() => void read(null), [month, depot.id]);
  const last = pages.at(-1);
  const cursor = last?.nextCursor ?? null;
  const wanted = mark.replace(/\s/g, "").toUpperCase();
  const machines = pages.flatMap(({ items }) => items).filter(({ registrationMark }) => registrationMark.includes(wanted));
  return (
    <>
      <Trouble error={error} again={() => void read(cursor)} />
      {last && machines.length === 0 && <p>{sayNone(say("desk.complete.none"), pages.flatMap(({ items }) => items).length, wanted)}</p>}
      {machines.length > 0 && (
        <>
          <Legend />
          <DaysTable days={pages[0]?.days ?? []} machines={machines} />
        </>
      )}
      {busy && <Waiting />}
      {!busy && cursor !== null && (
        <button type="button" onClick={() => void read(cursor)}>
          {say("desk.more-machines")}
        </button>
      )}
    </>
  );
}

const Legend = () => (
  <ul class="list legend">
    {verdicts
      .filter((verdict) => verdict !== "outside")
      .map((verdict) => (
        <li key={verdict}>
          <span class={`day-mark day-${verdict}`}>{letters[verdict]}</span> {say(`desk.day.${verdict}`)}
        </li>
      ))}
  </ul>
);

const count = (list: readonly DayVerdict[], verdict: DayVerdict): number => list.filter((one) => one === verdict).length;

function DaysTable({ days, machines }: { readonly days: Completeness["days"]; readonly machines: Completeness["items"] }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
    <section class="wide" tabIndex={0} aria-label={say("desk.complete")}>
      <table class="days-table">
        <thead>
          <tr>
            <th scope="col">{say("board.machine")}</th>
            {days.map((day) => (
              <th key={day} scope="col">
                {Number(day.slice(8))}
              </th>
            ))}
            {counted.map((verdict) => (
              <th key={verdict} scope="col">
                {say(`desk.day.${verdict}`)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {machines.map((machine) => (
            <tr key={machine.machineId}>
              <th scope="row" class="mono">
                <a href={to("bench", "machine", machine.machineId)}>{machine.registrationMark}</a>
              </th>
              {machine.verdicts.map((verdict, index) => (
                <td key={days[index]}>
                  <span class={`day-mark day-${verdict}`} aria-hidden="true">
                    {letters[verdict]}
                  </span>
                  <span class="hidden">{say(`desk.day.${verdict}`)}</span>
                </td>
              ))}
              {counted.map((verdict) => (
                <td key={verdict} class="mono">
                  {sayNumber(count(machine.verdicts, verdict))}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">{say("desk.missing-a-day")}</th>
            {days.map((day, index) => (
              <td key={day} class="mono">
                {sayNumber(
                  machines.filter((machine) => machine.verdicts[index] === "missing" || machine.verdicts[index] === "ridden").length,
                )}
              </td>
            ))}
            {counted.map((verdict) => (
              <td key={verdict} class="mono">
                {sayNumber(machines.reduce((sum, machine) => sum + count(machine.verdicts, verdict), 0))}
              </td>
            ))}
          </tr>
        </tfoot>
      </table>
    </section>
  );
}
