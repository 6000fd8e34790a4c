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
export { type EntryAsKept, type KnownEntry, type MachineFacts, placeOf } from "./facts.ts";
export { type InWords, withoutWords, wordsFor, wordsIfRead } from "./free-notes.ts";
export { mendState } from "./mend-state.ts";
export { type BoardLine, momentAsked, readReadiness, readStandings } from "./read-readiness.ts";
export { compareAll, type Rebuilt, rebuildState } from "./rebuild-state.ts";
export { readinessRoutes } from "./routes.ts";
export { sameSubmission } from "./rules.ts";
export { amendedSince, defectThen, fieldThen, type Moment, readMachineFacts, readPolicy, stateThen } from "./facts-store.ts";
export {
  listIn,
  noteUnjudged,
  numberIn,
  readJudged,
  saysNumber,
  unjudgedGauge,
  withStates,
} from "./stored-state.ts";
export { type Sender, withKnownOdometer } from "./who-may-send.ts";
