// Who rides today, who gets which machine, and who gets none: the manager ticks the riders, the service assigns the machines.

import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { StaffMember } from "../../../shared/contracts/people.ts";
import type { Allocation, AllocationBody } from "../../../shared/contracts/planning.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { call, callAll } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { say, sayKey, sayNumber } from "../frame/words.ts";

interface Ticked {
  readonly rides: readonly string[];
  readonly box: readonly string[];
}

const keyOf = (depotId: string): string => `ferrule.riders.${depotId}`;

function kept(depotId: string): Ticked {
  try {
    const read = JSON.parse(localStorage.getItem(keyOf(depotId)) ?? "null") as Ticked | null;
    return read && Array.isArray(read.rides) && Array.isArray(read.box) ? read : { rides: [], box: [] };
  } catch {
    return { rides: [], box: [] };
  }
}

const withOr = (list: readonly string[], id: string, on: boolean): string[] =>
  on ? [...new Set([...list, id])] : list.filter((one) => one !== id);

export const Riders = ({ depot, machines }: RidersProps) => <OfDepot key={depot.id} depot={depot} machines={machines} />;

interface RidersProps {
  readonly depot: Depot;
  readonly machines: Readiness["machines"];
}

function OfDepot({ depot, machines }: RidersProps) {
  const riders = useLoaded((signal) => callAll<StaffMember>(`/v1/staff?role=rider&depotId=${depot.id}`, 5000, signal), [depot.id]);
  const [ticked, setTicked] = useState(() => kept(depot.id));
  const [open, setOpen] = useState(ticked.rides.length === 0);
  const [allotted, setAllotted] = useState<Allocation | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const ridersHere = riders.value ?? [];
  const rides = ridersHere.filter(({ id }) => ticked.rides.includes(id));
  const tick = (next: Ticked) => {
    setTicked(next);
    setAllotted(null);
    localStorage.setItem(keyOf(depot.id), JSON.stringify(next));
  };
  const allot = async () => {
    setBusy(true);
    setError(null);
    try {
      const body: AllocationBody = {
        depotId: depot.id,
        day: localDay(new Date(), depot.timeZone),
        riders: rides.map(({ id }) => ({ staffId: id, ...(ticked.box.includes(id) ? { needsLoadBox: true } : {}) })),
      };
      setAllotted(await call<Allocation>("/v1/readiness/allocation", { method: "POST", body }));
    } catch (trouble) {
      setError(trouble);
    } finally {
      setBusy(false);
    }
  };
  return (
    <section>
      <h2>{say("board.riders")}</h2>
      <Trouble error={riders.error} again={riders.reload} />
      {riders.value === null && riders.loading && <Waiting />}
      {riders.value?.length === 0 && <p>{say("board.riders.none")}</p>}
      {ridersHere.length > 0 && (
        <>
          <details open={open} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
            <summary>{say("board.riders.today", { count: sayNumber(rides.length), all: sayNumber(ridersHere.length) })}</summary>
            <RiderTicks riders={ridersHere} ticked={ticked} onTick={tick} />
          </details>
          <button type="button" class="main" disabled={busy || rides.length === 0} onClick={() => void allot()}>
            {say("board.allot")}
          </button>
        </>
      )}
      <Trouble error={error} />
      <div role="status">{allotted && <Allotted allotted={allotted} asked={rides.length} riders={ridersHere} machines={machines} />}</div>
    </section>
  );
}

interface RiderTicksProps {
  readonly riders: readonly StaffMember[];
  readonly ticked: Ticked;
  readonly onTick: (next: Ticked) => void;
}

/** Who rides today, and who needs a load box. */
function RiderTicks({ riders, ticked, onTick }: RiderTicksProps) {
  return (
    <>
      <p>
        <button type="button" onClick={() => onTick({ ...ticked, rides: riders.map(({ id }) => id) })}>
          {say("board.riders.all")}
        </button>{" "}
        <button type="button" onClick={() => onTick({ ...ticked, rides: [] })}>
          {say("board.riders.nobody")}
        </button>
      </p>
      <ul class="list riders">
        {riders.map(({ id, name, staffNumber }) => (
          <li key={id}>
            <label>
              <input
                type="checkbox"
                checked={ticked.rides.includes(id)}
                onChange={({ currentTarget: { checked } }) => onTick({ ...ticked, rides: withOr(ticked.rides, id, checked) })}
              />
              <span>
                <bdi>{name}</bdi> <span class="mono">{staffNumber}</span>
              </span>
            </label>
            <label>
              <input
                type="checkbox"
                checked={ticked.box.includes(id)}
                onChange={({ currentTarget: { checked } }) => onTick({ ...ticked, box: withOr(ticked.box, id, checked) })}
              />
              <span>
                {say("board.riders.box")}
                <span class="hidden">: {name}</span>
              </span>
            </label>
          </li>
        ))}
      </ul>
    </>
  );
}

interface AllottedProps {
  readonly allotted: Allocation;
  /** for how many riders it was asked */
  readonly asked: number;
  readonly riders: readonly StaffMember[];
  readonly machines: Readiness["machines"];
}

/** Who gets which machine, and first who has none and what would help. */
function Allotted({ allotted, asked, riders, machines }: AllottedProps) {
  const riderOf = (staffId: string) => riders.find(({ id }) => id === staffId);
  const named = (staffId: string): string => {
    const rider = riderOf(staffId);
    return rider ? `${isolated(rider.name)} (${rider.staffNumber})` : staffId;
  };
  return (
    <>
      <p>
        {say("board.allotted", {
          served: sayNumber(allotted.allocations.length),
          riders: sayNumber(asked),
          changes: sayNumber(allotted.changes),
          machines: sayNumber(allotted.readyMachines),
        })}
      </p>
      {allotted.unserved.length > 0 && (
        <div class="trouble">
          <h3>{say("board.unserved")}</h3>
          <ul>
            {allotted.unserved.map(({ staffId, reason, text }) => (
              <li key={staffId}>
                {named(staffId)}: {sayKey(`unserved.${reason}`, text, { licence: riderOf(staffId)?.licenceClass ?? "?" })}
              </li>
            ))}
          </ul>
          <p>{adviceFor(machines)}</p>
        </div>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
      <section class="wide" tabIndex={0} aria-label={say("board.allotment")}>
        <table>
          <thead>
            <tr>
              <th scope="col">{say("role.rider")}</th>
              <th scope="col">{say("board.machine")}</th>
              <th scope="col">{say("board.swap")}</th>
            </tr>
          </thead>
          <tbody>
            {allotted.allocations.map(({ staffId, registrationMark, changed, licenceKnown }) => (
              <tr key={staffId}>
                <th scope="row">{named(staffId)}</th>
                <td class="mono">{registrationMark}</td>
                <td>
                  {say(changed ? "board.swap.yes" : "board.swap.no")}
                  {!licenceKnown && <div class="small">{say("board.licence-unknown")}</div>}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </>
  );
}

/** What would help riders without a machine: the depot's machines that cannot go out, grouped by what each needs. */
function adviceFor(machines: Readiness["machines"]): string {
  const inspections = machines.filter(({ standing }) => standing === "inspection-overdue").length;
  const grounded = machines.filter(({ standing }) => standing === "grounded").length;
  return say("board.unserved.advice", { inspections: sayNumber(inspections), grounded: sayNumber(grounded) });
}
