// Readings over distance with their limit, and a line that forecasts where they reach it; the same figures as a table.
import type { ListedWeeklyInspection } from "../../../shared/contracts/inspections-read.ts";
import type { MachineForecast } from "../../../shared/contracts/planning.ts";
import { sayLimit } from "../../../shared/words/say-guidance.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { language, say, sayDay, sayMoment, sayNumber, sayQuantity } from "../frame/words.ts";
import { type Forecast, type Series, seriesOf, stretches } from "./wear-series.ts";

const mostInspections = 60;

export function Wear({ machineId }: { machineId: string }) {
  const inspections = useLoaded(
    (signal) =>
      call<{ items: ListedWeeklyInspection[] }>(`/v1/weekly-inspections?machineId=${machineId}&limit=${mostInspections}`, { signal }),
    [machineId],
  );
  const forecast = useLoaded((signal) => call<MachineForecast>(`/v1/machines/${machineId}/forecast`, { signal }), [machineId]);
  const series = seriesOf(inspections.value?.items ?? [], forecast.value?.forecasts ?? []);
  return (
    <section>
      <h2>{say("bench.wear")}</h2>
      <Trouble error={inspections.error ?? forecast.error} again={inspections.reload} />
      {inspections.value === null && inspections.loading && <Waiting />}
      {inspections.value && series.length === 0 && <p>{say("bench.wear.none")}</p>}
      <div class="wear">
        {series.map((one) => (
          <OneWear
            key={one.quantity}
            series={one}
            forecast={forecast.value?.forecasts.find(({ quantity }) => quantity === one.quantity) ?? null}
          />
        ))}
      </div>
    </section>
  );
}

interface OneWearProps {
  readonly series: Series;
  readonly forecast: Forecast | null;
}

function OneWear({ series, forecast }: OneWearProps) {
  const { quantity, unit, limit, points } = series;
  const name = say(`quantity.${quantity}`);
  return (
    <figure>
      <figcaption>
        <strong>{name}</strong>
        <br />
        <span class="small">
          {sayLimit(limit, language())}
          {forecast && ` · ${sayForecast(forecast)}`}
        </span>
      </figcaption>
      <Drawing series={series} forecast={forecast} />
      <details>
        <summary>{say("bench.wear.figures", { count: points.length })}</summary>
        {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard */}
        <section class="wide" tabIndex={0} aria-label={name}>
          <table>
            <thead>
              <tr>
                <th scope="col">{say("bench.wear.at")}</th>
                <th scope="col">km</th>
                <th scope="col">{say("bench.as-found")}</th>
                <th scope="col">{say("bench.as-left")}</th>
              </tr>
            </thead>
            <tbody>
              {points.map(({ at, km, found, left, renewed }) => (
                <tr key={at}>
                  <th scope="row">{sayMoment(at)}</th>
                  <td>{sayNumber(km)}</td>
                  <td>{found === null ? "" : sayQuantity(found, unit)}</td>
                  <td>
                    {left === null ? "" : sayQuantity(left, unit)} {renewed && say("bench.wear.renewed")}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      </details>
    </figure>
  );
}

const width = 320;
const height = 150;
const margin = { start: 8, end: 8, top: 10, bottom: 20 };

/** Converts kilometres and a value into a position in the drawing. */
interface Scale {
  readonly from: number;
  readonly to: number;
  readonly x: (km: number) => number;
  readonly y: (value: number) => number;
}

/** From the first reading to the last, or to where the limit is foreseen: at most as far again. */
function scaleOf({ points }: Series, limits: readonly number[], limitKm: number | null): Scale {
  const values = [...points.flatMap(({ found, left }) => [found, left].filter((value) => value !== null)), ...limits];
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const from = points[0]?.km ?? 0;
  const last = points.at(-1)?.km;
  const to = Math.max(last ?? 1, limitKm === null ? 0 : Math.min(limitKm, 2 * (last ?? 0) - from));
  const [across, down] = [width - margin.start - margin.end, height - margin.top - margin.bottom];
  return {
    ...{ from, to },
    x: (km) => margin.start + (across * (km - from)) / Math.max(1, to - from),
    y: (value) => height - margin.bottom - (down * (value - low)) / Math.max(1e-9, high - low),
  };
}

function Drawing({ series, forecast }: OneWearProps) {
  const { unit, limit, points } = series;
  const limits = limit.unit === unit ? [limit.least, limit.most].filter((value) => value !== null) : [];
  const ahead = forecast?.unit === unit && forecast.limitAtKm !== null && forecast.latest !== null ? forecast : null;
  const limitKm = ahead?.limitAtKm ?? null;
  // Of two limits, the one that the readings move towards.
  const metLimit = (ahead?.slopePer1000Km ?? 0) > 0 ? limit.most : limit.least;
  const last = points.at(-1);
  const { from, to, x, y } = scaleOf(series, limits, limitKm);
  return (
    <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      {limits.map((value) => (
        <line key={value} class="wear-limit" x1={margin.start} x2={width - margin.end} y1={y(value)} y2={y(value)} />
      ))}
      {stretches(points).map((stretch) => (
        <polyline key={stretch[0]?.km} class="wear-line" points={stretch.map(({ km, value }) => `${x(km)},${y(value)}`).join(" ")} />
      ))}
      {points.map((point) => (
        <Mark key={point.at} point={point} x={x(point.km)} y={y} />
      ))}
      {ahead?.latest && last && limitKm !== null && metLimit !== null && (
        <line
          class="wear-ahead"
          x1={x(last.km)}
          y1={y(ahead.latest.value)}
          x2={x(Math.min(limitKm, to))}
          y2={y(valueAt(ahead.latest.value, last.km, metLimit, limitKm, Math.min(limitKm, to)))}
        />
      )}
      <text class="wear-axis" x={margin.start} y={height - 5}>
        {sayNumber(from)} km
      </text>
      <text class="wear-axis" x={width - margin.end} y={height - 5} text-anchor="end">
        {sayNumber(to)} km
      </text>
    </svg>
  );
}

/** A reading as found and as left; where the part was renewed, a line with the word. */
function Mark({
  point: { found, left, renewed },
  x,
  y,
}: {
  readonly point: Series["points"][number];
  readonly x: number;
  readonly y: Scale["y"];
}) {
  const onRight = x > width / 2;
  return (
    <g>
      {renewed && <line class="wear-renewed" x1={x} x2={x} y1={margin.top} y2={height - margin.bottom} />}
      {renewed && (
        <text
          class="wear-axis"
          x={x + (onRight ? -6 : 6)}
          y={left === null ? margin.top + 8 : Math.min(height - margin.bottom - 4, y(left) + 4)}
          text-anchor={onRight ? "end" : "start"}
        >
          {say("bench.wear.renewed")}
        </text>
      )}
      {found !== null && <circle class="wear-found" cx={x} cy={y(found)} r="3.2" />}
      {left !== null && left !== found && <circle class="wear-left" cx={x} cy={y(left)} r="3.2" />}
    </g>
  );
}

/** The value on the line between two points. */
const valueAt = (from: number, fromKm: number, end: number, endKm: number, km: number): number =>
  endKm === fromKm ? end : from + ((end - from) * (km - fromKm)) / (endKm - fromKm);

function sayForecast({ advice, kmLeft, dayAtLimit }: Forecast): string {
  const said = say(`bench.advice.${advice}`);
  if (kmLeft === null || (advice !== "fine" && advice !== "watch")) return said;
  return `${said}: ${say("bench.advice.left", { km: sayNumber(Math.max(0, kmLeft)) })}${dayAtLimit === null ? "" : `, ${sayDay(dayAtLimit)}`}`;
}
