// What a machine has cost since it came, as far as anybody knows.
import type { MachineCosts as Costs } from "../../../shared/contracts/costs.ts";
import { call } from "../frame/call.ts";
import { NotKnown, sayTotal } from "../frame/not-known.tsx";
import { Trouble, useLoaded } from "../frame/parts.tsx";
import { sayAmount } from "../frame/say-amount.ts";
import { say, sayDay, sayQuantity } from "../frame/words.ts";

export function MachineCosts({ machineId }: { machineId: string }) {
  const costs = useLoaded((signal) => call<Costs>(`/v1/machines/${machineId}/costs`, { signal }), [machineId]);
  const { value } = costs;
  if (value === null) return <Trouble error={costs.error} again={costs.reload} />;
  return (
    <section>
      <h2>{say("costs.since", { day: sayDay(value.since) })}</h2>
      {value.currency === null ? <p>{say("costs.no-currency")}</p> : <Sums costs={value} currency={value.currency} />}
    </section>
  );
}

function Sums({ costs, currency }: { costs: Costs; currency: string }) {
  const { partsMinor, labourMinor, outsideMinor, km, perThousandKmMinor } = costs;
  const lines = [
    ["costs.total", sayTotal(costs, currency)],
    ["costs.of-parts", sayAmount(partsMinor, currency)],
    ["costs.of-labour", sayAmount(labourMinor, currency)],
    ["costs.of-outside", sayAmount(outsideMinor, currency)],
    ["costs.km", km === null ? say("costs.unknown") : sayQuantity(km, "km")],
    ["costs.per-thousand", perThousandKmMinor === null ? say("costs.unknown") : sayAmount(perThousandKmMinor, currency)],
  ] as const;
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
      <section class="wide" tabIndex={0} aria-label={say("costs.title")}>
        <table>
          <tbody>
            {lines.map(([name, text]) => (
              <tr key={name}>
                <th scope="row">{say(name)}</th>
                <td class="amount">{text}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <NotKnown costs={costs} />
    </>
  );
}
