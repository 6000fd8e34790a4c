export { appendToFirm, beginMachineChains } from "./append.ts";
export { type Author, type Entry, entriesAfter, entryRow, type NewEntry } from "./entry.ts";
export { ledgerErrors } from "./errors.ts";
export { recordForgotten } from "./forgotten.ts";
export { dataHash, entryHash, sha256 } from "./hash.ts";
export { type Called, inShort } from "./in-short.ts";
export { keepSealing } from "./keep-sealing.ts";
export { type Kind, kinds, sentenceOf } from "./kinds.ts";
export { GrowingTree, leafHash, partsAround, provesConsistency } from "./merkle.ts";
export { checkpointSha256, inGroups } from "./print.ts";
export { checkpointNumbered, lastCheckpointBy } from "./print-store.ts";
export { consistencyOf } from "./prove-consistency.ts";
export { record } from "./prove-record.ts";
export { recordComponents } from "./record-components.ts";
export { envelopeLine, recordLine } from "./record-line.ts";
export { isIdTaken, recording } from "./recording.ts";
export { ledgerRoutes } from "./routes.ts";
export {
  checkpointsWithin,
  hashesOf,
  readStoredEntry,
  type SealedChain,
  type StoredEntry,
  sealedChains,
  storedRecordColumns,
} from "./store.ts";
export { takeCheckpoint } from "./take-checkpoint.ts";
