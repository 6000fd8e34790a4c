import { catalogue } from "../platform/index.ts";

export const ledgerErrors = catalogue({
  "checkpoints-reversed": {
    status: 422,
    title: "The later checkpoint comes first",
    help: "The checkpoint named as later is the earlier one. Exchange the two numbers.",
  },
  "record-forgotten": {
    status: 410,
    title: "What this record said was forgotten",
    help: "The time for which this record is kept is over, and what it said was forgotten; that it was there can still be proved.",
  },
});
