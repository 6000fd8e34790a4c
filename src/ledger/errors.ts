import { catalogue } from "../platform/index.ts";

export const ledgerErrors = catalogue({
  "checkpoints-reversed": 422,
  "record-forgotten": 410,
});
