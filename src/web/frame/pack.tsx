// A month for the auditor: ordered, watched while it is made, and fetched.
import { useState } from "preact/hooks";
import type { AuditPack, AuditPackBody } from "../../../shared/contracts/audit.ts";
import { call } from "./call.ts";
import { useEvents } from "./live.ts";
import { Trouble } from "./parts.tsx";
import { say, sayNumber } from "./words.ts";

const states = ["waiting", "working", "ready", "failed"];

export interface PackOrderProps {
  readonly month: string;
  /** null: the whole firm */
  readonly depotId: string | null;
}

export const PackOrder = (props: PackOrderProps) => <Order key={`${props.month} ${props.depotId}`} {...props} />;

function Order({ month, depotId }: PackOrderProps) {
  const [pack, setPack] = useState<AuditPack | null>(null);
  const [photos, setPhotos] = useState(false);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const underWay = pack !== null && (pack.state === "waiting" || pack.state === "working");
  useEvents(underWay ? `/v1/audit-packs/${pack.id}/events` : null, states, (_, data) => setPack(JSON.parse(data) as AuditPack));
  const order = async () => {
    setBusy(true);
    setError(null);
    try {
      const body: AuditPackBody = { month, ...(depotId === null ? {} : { depotId }), ...(photos ? { photos } : {}) };
      setPack(await call<AuditPack>("/v1/audit-packs", { method: "POST", body }));
    } catch (trouble) {
      setError(trouble);
    } finally {
      setBusy(false);
    }
  };
  return (
    <div class="pack">
      {!underWay && (
        <>
          <button type="button" disabled={busy || month === ""} onClick={() => void order()}>
            {say(pack === null ? "pack-order.order" : "pack-order.again", { month })}
          </button>
          <label class="tick">
            <input type="checkbox" checked={photos} onChange={(event) => setPhotos(event.currentTarget.checked)} />
            <span>{say("pack-order.photos")}</span>
          </label>
        </>
      )}
      <Trouble error={error} />
      <div role="status">
        {underWay && (
          <label>
            <span>
              {say(pack.state === "waiting" ? "pack-order.waiting" : "pack-order.working", { percent: sayNumber(100 * pack.progress) })}
            </span>
            <progress max={1} value={pack.progress} />
          </label>
        )}
        {pack?.state === "ready" && (
          <>
            <p>
              <a class="button main" href={`/v1/audit-packs/${pack.id}/download`} download>
                {say("pack-order.fetch", { month, size: sayNumber(Math.max(0.1, (pack.bytes ?? 0) / 1e6), 1) })}
              </a>
            </p>
            <p class="small">{say("pack-order.check")}</p>
            {pack.cannotProve.map(({ code }) => (
              <p key={code} class="small">
                {say(`audit.cannot.${code}`)}
              </p>
            ))}
          </>
        )}
        {pack?.state === "failed" && (
          <p class="trouble">{say("pack-order.failed", { why: say(`audit.failure.${pack.failureCode ?? "fault"}`) })}</p>
        )}
      </div>
    </div>
  );
}
