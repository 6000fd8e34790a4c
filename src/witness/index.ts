export { readAuthorities } from "./authorities.ts";
export { keepWitnessing, type Pace, type Witnessing } from "./keep-witnessing.ts";
export { NotWitnessed } from "./refused.ts";
export { witnessRoutes } from "./routes.ts";
export { seeNow } from "./see-now.ts";
export { readTimeStamps, type TimeStampRow } from "./store.ts";
export { readToken, type Stamp } from "./time-stamp.ts";
export { isEarly, mostMinutesApart, openWitness, type Witness } from "./witness.ts";
