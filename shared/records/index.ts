// The one way in to the shapes of records. Only the service imports it: the pages carry no zod and read no records.

export { recordCorrected as recordCorrectedSchema } from "./audit.ts";
export { itemVerdict as itemVerdictSchema } from "./checks.ts";
export { jsonSchemasOf, type RecordJsonSchema } from "./json-schema.ts";
export { kindSchema, type RecordContent, type RecordKind, recordSchema, type Said } from "./kinds.ts";
export {
  type Forgotten,
  isForgotten,
  isRecordKind,
  type KeptRecord,
  lifted,
  newestVersion,
  type OlderVersion,
  RecordUnreadable,
  read,
  readAs,
  schemasOf,
} from "./read.ts";
