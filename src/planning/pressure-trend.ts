// How each tyre of a machine keeps its air: weekly readings against what they were left at the week before.
import type { PressureTrend } from "../../shared/contracts/planning.ts";
import { decimalsBeside, formatQuantity } from "../../shared/units.ts";
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { LEAK_CONFIDENCE, type Leak, leakOf, NATURAL_LOSS_KPA_PER_WEEK, REFERENCE_CELSIUS, tyreEnds } from "./leak.ts";
import type { PlannedMachine } from "./planned-machine.ts";
import { readPressures } from "./pressure-store.ts";

/** How the tyres of a machine keep their air. */
export async function pressureTrend(context: AppContext, machine: PlannedMachine): Promise<PressureTrend> {
  const { id } = machine;
  const readings = (await readPressures(context.db, [id], context.clock.now())).get(id) ?? [];
  return {
    ...{ machineId: id, registrationMark: machine.registrationMark, depotId: machine.depotId },
    ...{ referenceCelsius: REFERENCE_CELSIUS, confidence: LEAK_CONFIDENCE, naturalLossKpaPerWeek: NATURAL_LOSS_KPA_PER_WEEK },
    tyres: tyreEnds.map((end) => {
      const leak = leakOf(readings.filter((reading) => reading.end === end));
      return { end, ...leak, points: [...leak.points], text: sayLeak(leak) };
    }),
    caution: word("caution.line"),
  };
}

/** The trend of a tyre as a sentence, with as many decimals as it takes to tell its rate from the natural loss. */
export function sayLeak({
  finding,
  kpaPerWeek,
  low,
  high,
  corrected,
  points,
}: Omit<Leak, "points"> & { readonly points: readonly unknown[] }): string {
  const [rate, least] = [kpaPerWeek ?? 0, low ?? 0];
  const decimals = Math.max(...[rate, least].map((value) => decimalsBeside(value, [NATURAL_LOSS_KPA_PER_WEEK], "kPa")));
  const kpa = (value: number): string => formatQuantity(value, "kPa", "en-GB", decimals);
  const figures = { rate: kpa(rate), low: kpa(least), high: kpa(high ?? 0), natural: kpa(NATURAL_LOSS_KPA_PER_WEEK), n: points.length };
  const said = word(finding === "natural" && rate <= 0 ? "leak.none" : `leak.${finding}`, "en", figures);
  return corrected || finding === "too-few-readings" ? said : `${said} ${word("leak.not-corrected")}`;
}
