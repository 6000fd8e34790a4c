// What is worth watching on a machine: it stands in no reason, since it keeps nobody from riding.
import type { Defect } from "../../../shared/contracts/defects.ts";
import type { Machine } from "../../../shared/contracts/fleet.ts";
import type { Person } from "../../../shared/contracts/people.ts";
import { callAll } from "../frame/call.ts";
import { Trouble, useLoaded } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";
import { DefectRow } from "./defect-row.tsx";

export function Advisories({ machine, person }: { machine: Machine; person: Person }) {
  const open = useLoaded(
    (signal) => callAll<Defect>(`/v1/defects?machineId=${machine.id}&status=open,deferred,repaired&category=advisory`, 200, signal),
    [machine.id],
  );
  const advisories = open.value ?? [];
  if (advisories.length === 0) return <Trouble error={open.error} again={open.reload} />;
  return (
    <section>
      <h2>{say("bench.advisories")}</h2>
      <ul class="list jobs">
        {advisories.map((defect) => (
          <DefectRow key={defect.id} {...{ defect, person }} isAway={false} />
        ))}
      </ul>
    </section>
  );
}
