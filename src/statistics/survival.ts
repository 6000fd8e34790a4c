// How long parts last, counting parts still in use with their age so far: Kaplan and Meier (1958).

/** A part that was renewed at this age (`event`), or was still in use at it. */
export interface LifeTime {
  readonly at: number;
  readonly event: boolean;
}

export interface SurvivalStep {
  readonly at: number;
  /** parts that had reached this age, including those last observed at it */
  readonly atRisk: number;
  readonly events: number;
  /** share that lives longer than this */
  readonly survival: number;
  /** Greenwood's standard error of `survival`; 0 where none is left, for which it has no value */
  readonly se: number;
}

/** One step for each age with an event, in order. At a tie the event comes before the censoring. */
export function survivalSteps(times: readonly LifeTime[]): SurvivalStep[] {
  const sorted = [...times].sort((one, other) => one.at - other.at);
  const steps: SurvivalStep[] = [];
  let survival = 1;
  let greenwood = 0;
  for (let first = 0; first < sorted.length; ) {
    const at = sorted[first]?.at ?? 0;
    let next = first;
    let events = 0;
    for (; next < sorted.length && sorted[next]?.at === at; next += 1) events += sorted[next]?.event ? 1 : 0;
    const atRisk = sorted.length - first;
    first = next;
    if (events === 0) continue;
    survival *= (atRisk - events) / atRisk;
    if (survival > 0) greenwood += events / (atRisk * (atRisk - events));
    steps.push({ at, atRisk, events, survival, se: survival * Math.sqrt(greenwood) });
  }
  return steps;
}

/** The first age beyond which no more than half survive; null if more than half survived the last event. */
export const medianLife = (steps: readonly SurvivalStep[]): number | null => steps.find(({ survival }) => survival <= 0.5)?.at ?? null;
