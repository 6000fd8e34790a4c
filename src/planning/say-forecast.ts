// The sentence for a forecast. Facts come in, words come out; nothing is decided here.
import { decimalsBeside, formatQuantity, LIMIT_DECIMALS } from "../../shared/units.ts";
import { word } from "../../shared/words/index.ts";
import type { Forecast } from "./forecast.ts";
import { factsOf, wornBetween } from "./stretches.ts";

/** What the forecast says to a mechanic. */
export function sayForecast({ quantity, n, latest, limit, atLimit, probabilityPastNextInspection: risk, advice }: Forecast): string {
  const figure = factsOf(quantity).goes === "up" ? limit.most : limit.least;
  const params = {
    value: latest === null ? "" : formatQuantity(latest.value, limit.unit, "en-GB", decimalsBeside(latest.value, [figure], limit.unit)),
    limit: figure === null ? "" : formatQuantity(figure, limit.unit, "en-GB", LIMIT_DECIMALS),
    // No forecast is certain, so it never says 100 %.
    chance: risk === null ? "" : risk > 0.99 ? "over 99 %" : `${Math.round(risk * 100)} %`,
    distance: atLimit === null ? "" : formatQuantity(Math.max(0, Math.round(atLimit.kmLeft)), "km"),
    when: atLimit === null || atLimit.day === null ? "" : word("forecast.when", "en", { day: atLimit.day }),
    count: n,
  };
  const isPast = latest !== null && figure !== null && wornBetween(factsOf(quantity), latest.value, figure) < 0;
  if (isPast) return word("forecast.past", "en", params);
  return word(`forecast.${advice}`, "en", params);
}
