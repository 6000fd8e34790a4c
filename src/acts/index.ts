export { actOnMachine } from "./act-on-machine.ts";
export { type ActRows, type DepotMove, insertedInto, type MachineParticulars, writtenBy } from "./act-rows.ts";
export { type AppContext, appContext, route, routes } from "./context.ts";
export { depotRulesOf, type EntryAsKept, type KnownEntry, type MachineFacts } from "./facts.ts";
export { mendState } from "./mend-state.ts";
export { compareAll, rebuildState } from "./rebuild-state.ts";
export { recordOnce, wasRecorded } from "./record-once.ts";
export { amendedSince, defectThen, fieldThen, type Moment, readMachineFacts, readPolicy, readPolicyAt, stateThen } from "./store.ts";
export {
  listIn,
  noteUnjudged,
  numberIn,
  ofTheFleet,
  readJudged,
  saysNumber,
  unjudgedGauge,
  type WithState,
  withStates,
} from "./stored-state.ts";
export { type Sender, withKnownOdometer } from "./who-may-send.ts";
