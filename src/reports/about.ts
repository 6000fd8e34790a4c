// The machine or the defect that a report is about, as it was at the moment asked about; read before the handler is called.
import { type AppContext, readMachineFacts } from "../acts/index.ts";
import { type Asked, objectOf } from "../platform/index.ts";
import { momentAsked } from "../readiness/index.ts";
import { readCourses } from "./store.ts";

const missing =
  (what: string) =>
  ({ at }: Asked): string =>
    at === undefined ? `There is no ${what} with this id.` : `There was no ${what} with this id at that moment.`;

export const machine = objectOf({
  name: "machine",
  missing: missing("machine"),
  find: (context: AppContext, id, _actor, { at }) => readMachineFacts(context, id, momentAsked(context.clock.now(), at)),
  depotOf: ({ machine }) => machine.depotId,
});

/** A defect belongs to the depot where it was found; its machine may have moved on since. */
export const defect = objectOf({
  name: "defect",
  missing: missing("defect"),
  find: async ({ db, clock }: AppContext, id, _actor, { at }) => (await readCourses(db, [id], momentAsked(clock.now(), at)))[0],
  depotOf: ({ depotId }) => depotId,
});
