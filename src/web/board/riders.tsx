// Who rides what: the manager ticks the riders, the service gives them machines, the manager changes that by hand and keeps it.

import { useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { StaffMember } from "../../../shared/contracts/people.ts";
import type { Allocation, KeptAllocation } from "../../../shared/contracts/planning.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { callAll } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { say, sayKey, sayNumber } from "../frame/words.ts";
import { KeptRides } from "./kept-rides.tsx";
import { type Planned, PlanTable } from "./plan-table.tsx";
import { type Draft, type Rides, useRides } from "./use-rides.ts";

interface Ticked {
  readonly rides: readonly string[];
  readonly box: readonly string[];
}

const keyOf = (depotId: string): string => `ferrule.riders.${depotId}`;

function ticksKept(depotId: string): Ticked {
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
  const today = localDay(new Date(), depot.timeZone);
  const [chosen, setDay] = useState(today);
  // A page that is left open over night is about the new day.
  const day = chosen < today ? today : chosen;
  const riders = useLoaded((signal) => callAll<StaffMember>(`/v1/staff?role=rider&depotId=${depot.id}`, 5000, signal), [depot.id]);
  const rides = useRides(depot, day, machines);
  const { kept, draft } = rides;
  const ridersHere = riders.value ?? [];
  return (
    <section>
      <h2>{say("board.riders")}</h2>
      <label class="rides-day">
        <span>{say("board.rides.day")}</span>
        <input type="date" value={day} min={today} onChange={({ currentTarget: { value } }) => setDay(value === "" ? today : value)} />
      </label>
      <Trouble error={riders.error} again={riders.reload} />
      <Trouble error={kept.error} again={kept.reload} />
      {riders.value === null && riders.loading && <Waiting />}
      {kept.value && (
        <KeptRides
          allocation={kept.value.allocation}
          onChange={
            draft === null
              ? () => rides.change(ridersHere.filter(({ id }) => ticksKept(depot.id).rides.includes(id)).map(({ id }) => id))
              : null
          }
        />
      )}
      {riders.value?.length === 0 && <p>{say("board.riders.none")}</p>}
      {ridersHere.length > 0 && kept.value && <WhoRides key={day} depot={depot} riders={ridersHere} rides={rides} />}
      <Trouble error={rides.error} />
      {draft && kept.value && (
        <Drafted draft={draft} rides={rides} people={peopleOf(ridersHere, kept.value.allocation.allocations)} machines={machines} />
      )}
    </section>
  );
}

/** The riders of the depot, and who else was given a machine. */
const peopleOf = (riders: readonly StaffMember[], lines: KeptAllocation["allocations"]): Planned[] => [
  ...riders,
  ...lines
    .filter(({ staffId }) => riders.every(({ id }) => id !== staffId))
    .map(({ staffId, name, staffNumber }) => ({ ...{ name, staffNumber }, id: staffId, licenceClass: undefined })),
];

interface WhoRidesProps {
  readonly depot: Depot;
  readonly riders: readonly StaffMember[];
  readonly rides: Rides;
}

/** Who rides, kept on this device, and the button that gives them machines. */
function WhoRides({ depot, riders, rides }: WhoRidesProps) {
  const [ticked, setTicked] = useState(() => ticksKept(depot.id));
  const [open, setOpen] = useState(ticked.rides.length === 0 && rides.kept.value?.allocation.keptAt === null);
  const onShift = riders.filter(({ id }) => ticked.rides.includes(id));
  const tick = (next: Ticked) => {
    setTicked(next);
    rides.drop();
    localStorage.setItem(keyOf(depot.id), JSON.stringify(next));
  };
  return (
    <>
      <details open={open} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
        <summary>{say("board.riders.today", { count: sayNumber(onShift.length), all: sayNumber(riders.length) })}</summary>
        <RiderTicks riders={riders} ticked={ticked} onTick={tick} />
      </details>
      <button
        type="button"
        class={rides.draft ? undefined : "main"}
        disabled={rides.busy || onShift.length === 0}
        onClick={() =>
          void rides.allot(onShift.map(({ id }) => ({ staffId: id, ...(ticked.box.includes(id) ? { needsLoadBox: true } : {}) })))
        }
      >
        {say("board.allot")}
      </button>
    </>
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

interface DraftedProps {
  readonly draft: Draft;
  readonly rides: Rides;
  readonly people: readonly Planned[];
  readonly machines: Readiness["machines"];
}

/** The plan before it is kept: first who has no machine and what would help, then who gets which, to be changed by hand. */
function Drafted({ draft: { plan, proposed, refused }, rides, people, machines }: DraftedProps) {
  return (
    <>
      <div role="status">{proposed && <Proposed proposed={proposed} people={people} machines={machines} />}</div>
      <PlanTable {...{ plan, proposed, people, machines, refused }} onPlan={rides.setPlan} />
      <p class="notice">{say("board.rides.draft")}</p>
      <button type="button" class="main" disabled={rides.busy} onClick={() => void rides.keepDraft()}>
        {say("board.rides.keep")}
      </button>
    </>
  );
}

interface ProposedProps {
  readonly proposed: Allocation;
  readonly people: readonly Planned[];
  readonly machines: Readiness["machines"];
}

function Proposed({ proposed: { allocations, unserved, changes, readyMachines }, people, machines }: ProposedProps) {
  const named = (staffId: string): string => {
    const person = people.find(({ id }) => id === staffId);
    return person ? `${isolated(person.name)} (${person.staffNumber})` : staffId;
  };
  const licenceOf = (staffId: string): string => people.find(({ id }) => id === staffId)?.licenceClass ?? "?";
  return (
    <>
      <p>
        {say("board.allotted", {
          served: sayNumber(allocations.length),
          riders: sayNumber(allocations.length + unserved.length),
          changes: sayNumber(changes),
          machines: sayNumber(readyMachines),
        })}
      </p>
      {unserved.length > 0 && (
        <div class="trouble">
          <h3>{say("board.unserved")}</h3>
          <ul>
            {unserved.map(({ staffId, reason, text }) => (
              <li key={staffId}>
                {named(staffId)}: {sayKey(`unserved.${reason}`, text, { licence: licenceOf(staffId) })}
              </li>
            ))}
          </ul>
          <p>{adviceFor(machines)}</p>
        </div>
      )}
    </>
  );
}

/** What would help riders without a machine: the depot's machines that cannot go out, grouped by what each needs. */
function adviceFor(machines: Readiness["machines"]): string {
  const inspections = machines.filter(({ standing }) => standing === "inspection-overdue").length;
  const grounded = machines.filter(({ standing }) => standing === "grounded").length;
  return say("board.unserved.advice", { inspections: sayNumber(inspections), grounded: sayNumber(grounded) });
}
