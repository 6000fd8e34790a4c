// The door of the figures: counts of a period that several reports, pages and answers tell, each made in one place.
export { clearMs, type DoneAct, type FoundDefect, leastMachineDays, leastWeekMachineDays, rateOf } from "./counts.ts";
export { actsDone, defectsFound, figuresFrom, figuresOf, type PeriodFigures, serviceSpans, sumService } from "./figures.ts";
export { daysTogether, type ServiceRow } from "./service-time.ts";
export { readPoliciesSince } from "./store.ts";
