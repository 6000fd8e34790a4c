// Why the inspection at hand is asked for: the machine fell. In the words of whoever reported it, with its photos.
import type { Fall } from "../../../shared/contracts/falls.ts";
import type { OpenFall } from "../../../shared/rules/machine-state.ts";
import { sayBent, sayHit } from "../../../shared/words/say-fall.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded } from "../frame/parts.tsx";
import { language, paperAt, say, sayMoment } from "../frame/words.ts";
import { Photos } from "./photos.tsx";

export function Fell({ falls }: { readonly falls: readonly OpenFall[] }) {
  return (
    <>
      {falls.map((fall) => (
        <OneFall key={fall.recordId} {...fall} />
      ))}
    </>
  );
}

function OneFall({ recordId, happenedAt }: OpenFall) {
  const { value, error, reload } = useLoaded((signal) => call<Fall>(`/v1/falls/${recordId}`, { signal }), [recordId]);
  const told = value?.told ?? null;
  return (
    <div class="notice">
      <p>
        <strong>{say("bench.fell", { at: sayMoment(happenedAt) })}</strong>
      </p>
      <Trouble error={error} again={reload} />
      {told !== null && (
        <>
          <p dir="auto">
            {sayHit(told.hit, language())}.{" "}
            {told.bent.length > 0 && say("bench.fell.bent", { parts: told.bent.map((part) => sayBent(part, language())).join(", ") })}
          </p>
          {told.note !== null && <p dir="auto">{told.note}</p>}
        </>
      )}
      {value?.inspectedBetween && <p>{say("bench.fell.between", { at: sayMoment(value.inspectedBetween) })}</p>}
      <Photos photos={value?.photos ?? []} />
      <p>{say("bench.fell.first")}</p>
      <p>
        <a class="button quiet" href={paperAt(`/v1/falls/${recordId}/report.pdf`)} target="_blank" rel="noopener">
          {say("bench.fell.paper")}
        </a>
      </p>
    </div>
  );
}
