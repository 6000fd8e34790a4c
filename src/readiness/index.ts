export {
  type Acted,
  actOnMachine,
  type Decision,
  type Submission,
} from "./act-on-machine.ts";
export {
  type ActRows,
  changeOf,
  type DailyCheckRow,
  type DefectChangeRow,
  type DefectEventRow,
  type DefectRow,
  type MachineParticulars,
  type PhotoUseRow,
} from "./act-rows.ts";
export { type KnownEntry, type MachineFacts, placeOf } from "./facts.ts";
export { type BoardLine, momentAsked, readReadiness, readStandings } from "./read-readiness.ts";
export { compareAll, type Rebuilt, rebuildState } from "./rebuild-state.ts";
export { readinessRoutes } from "./routes.ts";
export { sameSubmission } from "./rules.ts";
export { amendedSince, fieldThen, type Moment, readMachineFacts, readPolicy, stateThen } from "./store.ts";
export { type Sender, withKnownOdometer } from "./who-may-send.ts";
