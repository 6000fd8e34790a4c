export { readAuthorities } from "./authorities.ts";
export { keepWitnessing, type Pace, type Witnessing } from "./keep-witnessing.ts";
export { NotWitnessed } from "./refused.ts";
export { witnessRoutes } from "./routes.ts";
export { seeNow } from "./see-now.ts";
export { readTimeStamps } from "./store.ts";
export { readToken } from "./time-stamp.ts";
export { isEarly, openWitness } from "./witness.ts";
