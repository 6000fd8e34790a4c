// What can go wrong with depots, models, machines and their papers.
import { catalogue } from "../platform/index.ts";

export const fleetErrors = catalogue({
  "name-taken": { status: 409, title: "This name is taken" },
  "mark-taken": { status: 409, title: "Another machine carries this registration mark" },
  "stale-revision": { status: 409, title: "The model was revised since it was read" },
  "already-withdrawn": { status: 409, title: "The machine is withdrawn already" },
  "import-refused": { status: 422, title: "The file was not imported" },
});
