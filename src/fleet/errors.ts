// What can go wrong with depots, models, machines and their papers.
import { catalogue } from "../platform/index.ts";

export const fleetErrors = catalogue({
  "name-taken": 409,
  "mark-taken": 409,
  "stale-revision": 409,
  "already-withdrawn": 409,
  "paper-ended": 409,
  "import-refused": 422,
  "ending-outside-paper": 422,
  "not-a-failed-test": 422,
});
