import { catalogue } from "../platform/index.ts";

export const ledgerErrors = catalogue({
  "checkpoints-reversed": { status: 422, title: "The later checkpoint comes first" },
  "record-forgotten": { status: 410, title: "What this record said was forgotten" },
});
