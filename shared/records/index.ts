// The door of the records' shapes. Only the service comes in here: the pages carry no zod, and read no records.
export { type RecordKind, recordSchema, type Said, type Told } from "./kinds.ts";
export {
  type Forgotten,
  isForgotten,
  isRecordKind,
  type KeptRecord,
  type Lift,
  lifted,
  newestVersion,
  RecordUnreadable,
  read,
  readAs,
} from "./read.ts";
