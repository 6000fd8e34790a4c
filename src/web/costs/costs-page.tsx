// What machines cost in a period, the dearest first, with what nobody knows said beside it.
import { useState } from "preact/hooks";
import type { CostLine, CostsAnswer } from "../../../shared/contracts/costs.ts";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import { addDays, localDay } from "../../../shared/rules/calendar.ts";
import { call, callAll } from "../frame/call.ts";
import { NotKnown, sayTotal } from "../frame/not-known.tsx";
import { Pick, Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { sayAmount } from "../frame/say-amount.ts";
import { say, sayCounted, sayQuantity } from "../frame/words.ts";
import { MoneySettings } from "./money-settings.tsx";

type By = CostsAnswer["by"];

export function CostsPage({ canWrite }: { canWrite: boolean }) {
  const today = localDay(new Date(), Intl.DateTimeFormat().resolvedOptions().timeZone);
  const depots = useLoaded((signal) => callAll<Depot>("/v1/depots", 1000, signal), []);
  const [asked, setAsked] = useState({ depotId: "", from: addDays(today, -27), to: today, by: "machine" as By });
  const isInOrder = asked.from !== "" && asked.to !== "" && asked.from <= asked.to;
  const query = new URLSearchParams({ ...(asked.depotId && { depotId: asked.depotId }), from: asked.from, to: asked.to, by: asked.by });
  const address = `/v1/costs?${query.toString()}`;
  const costs = useLoaded(async (signal) => (isInOrder ? call<CostsAnswer>(address, { signal }) : null), [address, isInOrder]);
  const change = (part: Partial<typeof asked>) => setAsked({ ...asked, ...part });
  return (
    <>
      <h1>{say("costs.title")}</h1>
      <Trouble error={depots.error} again={depots.reload} />
      <div class="row costs-choice">
        {(depots.value?.length ?? 0) > 1 && (
          <Pick
            label={say("page.depot")}
            value={asked.depotId}
            options={[
              { value: "", text: say("page.all-depots") },
              ...(depots.value ?? []).map(({ id, name }) => ({ value: id, text: name })),
            ]}
            onChange={(depotId) => change({ depotId })}
          />
        )}
        {(["from", "to"] as const).map((end) => (
          <label key={end}>
            <span>{say(`costs.${end}`)}</span>
            <input type="date" value={asked[end]} max={today} onInput={({ currentTarget: { value } }) => change({ [end]: value })} />
          </label>
        ))}
        <Pick
          label={say("costs.by")}
          value={asked.by}
          options={(["machine", "model"] as const).map((value) => ({ value, text: say(`costs.by.${value}`) }))}
          onChange={(value) => change({ by: value === "model" ? "model" : "machine" })}
        />
      </div>
      {!isInOrder && <p class="notice">{say("costs.order")}</p>}
      <Trouble error={costs.error} again={costs.reload} />
      {costs.value === null && costs.loading && <Waiting />}
      {isInOrder && costs.value && <Shown costs={costs.value} file={`${address}&format=csv`} />}
      {canWrite && <MoneySettings onSaved={costs.reload} />}
    </>
  );
}

function Shown({ costs, file }: { costs: CostsAnswer; file: string }) {
  const { currency, hourlyRateMinor, rows } = costs;
  return (
    <>
      {currency === null && <p class="notice">{say("costs.no-currency")}</p>}
      {currency !== null && hourlyRateMinor === null && <p class="notice">{say("costs.no-rate")}</p>}
      {rows.length === 0 ? <p>{say("costs.none")}</p> : <Lines costs={costs} file={file} />}
    </>
  );
}

function Lines({ costs, file }: { costs: CostsAnswer; file: string }) {
  const { currency, rows, total, by } = costs;
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
      <section class="wide" tabIndex={0} aria-label={say("costs.title")}>
        <table>
          <thead>
            <tr>
              <th scope="col">{say(`costs.by.${by}`)}</th>
              {(["of-parts", "of-labour", "of-outside", "total", "km", "per-thousand"] as const).map((column) => (
                <th key={column} scope="col" class="amount">
                  {say(`costs.${column}`)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((line) => (
              <Line key={line.id} line={line} by={by} currency={currency} />
            ))}
          </tbody>
          {rows.length > 1 && (
            <tfoot>
              <Line line={total} by={null} currency={currency} />
            </tfoot>
          )}
        </table>
      </section>
      <NotKnown costs={total} />
      {total.machinesWithoutKm > 0 && <p class="small">{sayCounted("costs.without-km", total.machinesWithoutKm)}</p>}
      <p class="small">{say("costs.rule")}</p>
      <p>
        <a class="button" href={file} download>
          {say("costs.file")}
        </a>
      </p>
    </>
  );
}

/** One line of the table; `by` null: all together. */
function Line({ line, by, currency }: { line: CostLine; by: By | null; currency: string | null }) {
  const { id, name, modelName, partsMinor, labourMinor, outsideMinor, km, perThousandKmMinor } = line;
  return (
    <tr>
      <th scope="row">
        {by === null && say("costs.all")}
        {by === "machine" && id !== null && (
          <a class="mono" href={to("bench", "machine", id)}>
            {name}
          </a>
        )}
        {by === "model" && <bdi>{name}</bdi>}
        {modelName !== null && (
          <>
            {" "}
            <small>
              <bdi>{modelName}</bdi>
            </small>
          </>
        )}
      </th>
      <td class="amount">{sayAmount(partsMinor, currency)}</td>
      <td class="amount">{sayAmount(labourMinor, currency)}</td>
      <td class="amount">{sayAmount(outsideMinor, currency)}</td>
      <td class="amount">{sayTotal(line, currency)}</td>
      <td class="amount">{km === null ? say("costs.unknown") : sayQuantity(km, "km")}</td>
      <td class="amount">{perThousandKmMinor === null ? say("costs.unknown") : sayAmount(perThousandKmMinor, currency)}</td>
    </tr>
  );
}
