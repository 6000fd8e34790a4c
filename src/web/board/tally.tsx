// One depot at a glance: how many machines can go out, how many could once they are checked, and what keeps the rest from going out.
import type { Standing } from "../../../shared/contracts/common.ts";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Readiness } from "../../../shared/contracts/readiness.ts";
import { countStandings } from "../../../shared/rules/standing.ts";
import { StandingMark } from "../frame/parts.tsx";
import { say, sayCounted, sayNumber } from "../frame/words.ts";

const order: readonly Standing[] = ["fit", "unchecked", "grounded", "papers-expired", "inspection-overdue", "withdrawn"];

export function Tally({ depot, machines }: { depot: Depot; machines: Readiness["machines"] }) {
  const totals = countStandings(machines);
  const { fit, unchecked } = totals;
  const counts = order.map((standing) => ({ standing, count: totals[standing] }));
  let before = 0;
  return (
    <section class="tally" aria-label={depot.name}>
      <h2>
        <bdi>{depot.name}</bdi>
      </h2>
      {machines.length === 0 ? (
        <p>{say("board.no-machines")}</p>
      ) : (
        <>
          <p class="tally-figure">
            <strong>{sayNumber(fit)}</strong> {say("board.can-go", { all: sayNumber(machines.length) })}
          </p>
          {unchecked > 0 && <p>{sayCounted("board.once-checked", unchecked)}</p>}
          <svg class="tally-bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">
            {counts.map(({ standing, count }) => {
              const x = (100 * before) / machines.length;
              before += count;
              return <rect key={standing} class={`bar-${standing}`} x={x} y="0" width={(100 * count) / machines.length} height="6" />;
            })}
          </svg>
          <ul class="list tally-counts">
            {counts
              .filter(({ count }) => count > 0)
              .map(({ standing, count }) => (
                <li key={standing}>
                  <StandingMark standing={standing} /> <span class="mono">{sayNumber(count)}</span>
                </li>
              ))}
          </ul>
        </>
      )}
    </section>
  );
}
