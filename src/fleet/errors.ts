// What can go wrong with depots, models, machines and their papers.
import { catalogue } from "../platform/index.ts";

export const fleetErrors = catalogue({
  "name-taken": {
    status: 409,
    title: "This name is taken",
    help: "Two things of one kind cannot share a name. Choose another one.",
  },
  "mark-taken": {
    status: 409,
    title: "Another machine carries this registration mark",
    help: "Another machine carries this mark. Check what was typed; a machine that left the fleet frees its mark.",
  },
  "stale-revision": {
    status: 409,
    title: "The model was revised since it was read",
    help: "The model was revised since you read it. Read it again, repeat your change, and send it with the new revision.",
  },
  "already-withdrawn": {
    status: 409,
    title: "The machine is withdrawn already",
    help: "The machine is withdrawn. Nothing needs to be done.",
  },
  "machine-disposed": {
    status: 409,
    title: "The machine was sold or scrapped",
    help: "The machine has left the fleet; its records stay as they were. If that was a mistake, a manager brings it back first.",
  },
  "paper-ended": {
    status: 409,
    title: "This paper is ended already",
    help: "The paper is ended; that does not change. Add the one that holds now.",
  },
  "import-refused": {
    status: 422,
    title: "The file was not imported",
    help: "One row or more cannot be taken, so none was. The issues name the rows; mend the file and send it again.",
  },
  "ending-outside-paper": {
    status: 422,
    title: "That day lies outside the days of the paper",
    help: "A paper ends on one of its own days. Check the day.",
  },
  "not-a-failed-test": {
    status: 422,
    title: "Only a test that was made can have failed",
    help: "Only a test can have been failed. Choose another reason for this paper.",
  },
});
