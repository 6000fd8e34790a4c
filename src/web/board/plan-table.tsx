// The plan of who rides what, changed by hand: another machine for a rider, or none.
import { useRef, useState } from "preact/hooks";
import type { StaffMember } from "../../../shared/contracts/people.ts";
import type { Allocation } from "../../../shared/contracts/planning.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { StandingMark } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import { isSwap, type Plan, withMachine } from "./kept.ts";

/** Somebody in the plan; `licenceClass` null: none is on record. */
export type Planned = Pick<StaffMember, "id" | "name" | "staffNumber"> & { readonly licenceClass: string | null | undefined };

interface PlanTableProps {
  readonly plan: Plan;
  /** the proposal that it began with; null where it began with what is kept */
  readonly proposed: Allocation | null;
  readonly people: readonly Planned[];
  readonly machines: Readiness["machines"];
  /** whose lines the service refused */
  readonly refused: ReadonlySet<string>;
  readonly onPlan: (plan: Plan) => void;
}

export function PlanTable({ plan, proposed, people, machines, refused, onPlan }: PlanTableProps) {
  // Going through the list with the arrow keys passes over other riders' machines: each choice starts from the plan as it was before the first.
  const [picking, setPicking] = useState<{ readonly staffId: string; readonly before: Plan } | null>(null);
  const rows = people.filter(({ id }) => plan.has(id));
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
    <section class="wide" tabIndex={0} aria-label={say("board.allotment")}>
      <table class="rides">
        <thead>
          <tr>
            <th scope="col">{say("role.rider")}</th>
            <th scope="col">{say("board.machine")}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((rider) => {
            const machineId = plan.get(rider.id) ?? null;
            const swap = isSwap(proposed, rider.id, machineId);
            return (
              <tr key={rider.id} class={refused.has(rider.id) ? "refused" : undefined}>
                <th scope="row">
                  <bdi>{rider.name}</bdi> <span class="mono">{rider.staffNumber}</span>
                  {swap !== null && <div class="small">{say(swap ? "board.swap.yes" : "board.swap.no")}</div>}
                  {rider.licenceClass === null && <div class="small">{say("board.licence-unknown")}</div>}
                </th>
                <td>
                  {picking?.staffId === rider.id ? (
                    <PickMachine
                      of={rider}
                      machines={machines}
                      value={machineId}
                      onPick={(chosen) => onPlan(withMachine(picking.before, rider.id, chosen))}
                      onDone={() => setPicking(null)}
                    />
                  ) : (
                    <button type="button" onClick={() => setPicking({ staffId: rider.id, before: plan })}>
                      <Given machine={machines.find((one) => one.machineId === machineId)} />
                      <span class="hidden">
                        , {rider.name}: {say("board.rides.pick")}
                      </span>
                    </button>
                  )}
                  {refused.has(rider.id) && <div class="small">{say("board.rides.refused")}</div>}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

const Given = ({ machine }: { readonly machine: Readiness["machines"][number] | undefined }) =>
  machine === undefined ? (
    <span>{say("board.rides.nothing")}</span>
  ) : (
    <>
      <span class="mono">{machine.registrationMark}</span> <StandingMark standing={machine.standing} />
    </>
  );

interface PickMachineProps {
  readonly of: Planned;
  readonly machines: Readiness["machines"];
  readonly value: string | null;
  readonly onPick: (machineId: string | null) => void;
  readonly onDone: () => void;
}

/** The machines of the depot that are in service, those that are ready first. */
function PickMachine({ of, machines, value, onPick, onDone }: PickMachineProps) {
  const begun = useRef(false);
  const isReady = ({ standing }: Readiness["machines"][number]): boolean => standing === "fit" || standing === "unchecked";
  const inService = machines.filter(({ standing }) => standing !== "withdrawn");
  return (
    <select
      ref={(field) => {
        if (field && !begun.current) field.focus();
        begun.current = true;
      }}
      aria-label={`${say("board.machine")}: ${of.name}`}
      value={value ?? ""}
      onChange={({ currentTarget }) => onPick(currentTarget.value === "" ? null : currentTarget.value)}
      onBlur={onDone}
    >
      <option value="">{say("board.rides.nothing")}</option>
      {[...inService.filter(isReady), ...inService.filter((one) => !isReady(one))].map((machine) => (
        <option key={machine.machineId} value={machine.machineId}>
          {machine.registrationMark}
          {isReady(machine) ? "" : ` (${say(`standing.${machine.standing}`)})`}
        </option>
      ))}
    </select>
  );
}
