export { actOnMachine } from "./act-on-machine.ts";
export { type ActRows, insertedInto, type MachineParticulars, type RowsOf, writtenBy } from "./act-rows.ts";
export { type EntryAsKept, type KnownEntry, type MachineFacts, placeOf } from "./facts.ts";
export { mendState } from "./mend-state.ts";
export { compareAll, rebuildState } from "./rebuild-state.ts";
export { sameSubmission } from "./rules.ts";
export { amendedSince, defectThen, fieldThen, type Moment, readMachineFacts, readPolicy, readPolicyAt, stateThen } from "./store.ts";
export { listIn, noteUnjudged, numberIn, readJudged, saysNumber, unjudgedGauge, withStates } from "./stored-state.ts";
export { type Sender, withKnownOdometer } from "./who-may-send.ts";
