// Machines that were sold or scrapped, folded away below the board: whoever looks for an old record finds it from here.
import { useState } from "preact/hooks";
import type { Machine } from "../../../shared/contracts/fleet.ts";
import { callAll } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayWhy } from "../frame/say-why.ts";
import { say } from "../frame/words.ts";

const most = 2000;

export function Left({ depotId }: { depotId: string | null }) {
  const [open, setOpen] = useState(false);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{say("board.left")}</summary>
      {open && <Listed depotId={depotId} />}
    </details>
  );
}

function Listed({ depotId }: { depotId: string | null }) {
  const path = `/v1/machines?disposed=only${depotId === null ? "" : `&depotId=${depotId}`}`;
  const left = useLoaded((signal) => callAll<Machine>(path, most, signal), [path]);
  return (
    <>
      <Trouble error={left.error} again={left.reload} />
      {left.value === null && left.loading && <Waiting />}
      {left.value?.length === 0 && <p>{say("board.left.none")}</p>}
      <ul class="list">
        {left.value?.map(({ id, registrationMark, reasons: [reason] }) => (
          <li key={id}>
            <a class="mono" href={to("bench", "machine", id)}>
              {registrationMark}
            </a>
            {reason && <> {sayWhy(reason)}</>}
          </li>
        ))}
      </ul>
    </>
  );
}
