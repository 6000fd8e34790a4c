// What wears on one machine, and when it will reach its limit.
import type { MachineForecast } from "../../shared/contracts/planning.ts";
import { word } from "../../shared/words/index.ts";
import { type AppContext, readPolicy } from "../acts/index.ts";
import { INTERVAL_CONFIDENCE, type Reach } from "./forecast.ts";
import { type Foreseen, foresee } from "./foresee.ts";
import type { PlannedMachine } from "./planned-machine.ts";
import { sayForecast } from "./say-forecast.ts";
import { readWearRecords } from "./store.ts";
import { factsOf } from "./stretches.ts";

/** What wears on a machine. */
export async function forecastMachine(context: AppContext, machine: PlannedMachine): Promise<MachineForecast> {
  const { id } = machine;
  const now = context.clock.now();
  const [policy, wear] = await Promise.all([readPolicy(context.db), readWearRecords(context.db, [machine], now)]);
  const records = wear.get(id);
  if (!records) throw new Error("the records of a machine that was asked for are missing");
  const foreseen = foresee({ ...machine, depotRules: { timeZone: machine.timeZone, policy } }, records, now);
  const { odometerKm } = machine.state;
  return {
    ...{ machineId: id, registrationMark: machine.registrationMark, depotId: machine.depotId, day: foreseen.today, odometerKm },
    dailyUse: { ...foreseen.use },
    nextInspectionDay: foreseen.nextInspectionDay,
    forecasts: foreseen.forecasts.map((one) => answerOf(one, odometerKm)),
    ...{ oil: foreseen.oil, services: [...foreseen.services] },
    caution: word("caution.line"),
  };
}

function answerOf(one: Foreseen["forecasts"][number], odometerKm: number): MachineForecast["forecasts"][number] {
  const { quantity, limit, atLimit, earliest, atLatest, probabilityPastNextInspection } = one;
  const reach = (at: Reach | null) => at && { ...at, odometerKm: odometerKm + at.kmLeft };
  return {
    ...{
      quantity,
      itemId: factsOf(quantity).itemId,
      unit: limit.unit,
      n: one.n,
      since: one.since,
      latest: one.latest && { ...one.latest },
    },
    ...{ limit: { ...limit }, slopePer1000Km: one.slopePer1000Km, residualSd: one.residualSd, probabilityPastNextInspection },
    limitAtKm: atLimit && odometerKm + atLimit.kmLeft,
    kmLeft: atLimit?.kmLeft ?? null,
    dayAtLimit: atLimit?.day ?? null,
    interval: atLimit && { confidence: INTERVAL_CONFIDENCE, earliest: reach(earliest), latest: reach(atLatest) },
    renewals: one.renewals.map((renewal) => ({ ...renewal })),
    advice: one.advice,
    text: sayForecast(one),
  };
}
