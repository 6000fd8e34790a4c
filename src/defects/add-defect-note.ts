import type { AddDefectNoteBody, CourseReceipt } from "../../shared/contracts/defects.ts";
import { openDefect } from "../../shared/rules/course.ts";
import type { OpenDefect } from "../../shared/rules/machine-state.ts";
import { type AppContext, actOnMachine } from "../acts/index.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import { courseReceipt, machineToActOn, outcomeOf } from "./change-course.ts";
import { defectEventRows } from "./row-store.ts";
import { standingOfDefect } from "./store.ts";

const standingIn = ({ id, status, category, dueDay }: OpenDefect) => ({ id, status, category, dueDay });

/** A note on a defect, at any time, also where it is closed. It is a record and changes neither the defect nor its machine. */
export async function addDefectNote(
  context: AppContext,
  actor: Actor,
  defectId: string,
  body: AddDefectNoteBody,
): Promise<{ receipt: CourseReceipt; repeated: boolean }> {
  const machineId = await machineToActOn(context.db, defectId);
  const submitted = { ...body, defectId };
  const submission = { id: body.id, kinds: ["defect-noted" as const], body: submitted };
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, submission }, async (facts, recordedAt) => {
    // A state keeps the open ones alone.
    const open = openDefect(facts.state, defectId);
    const about = open ? standingIn(open) : await standingOfDefect(context.db, defectId);
    if (about === null) throw platformErrors.problem("not-found", "There is no defect with this id.");
    const data = { defectId, outcome: outcomeOf(facts, facts.state, about, recordedAt), submitted };
    return {
      entries: [{ id: body.id, kind: "defect-noted", performedAt: recordedAt, data }],
      state: facts.state,
      rows: [
        defectEventRows([{ id: body.id, machineId, defectId, kind: "note", staffId: actor.staffId, performedAt: recordedAt, recordedAt }]),
      ],
    };
  });
  return { receipt: await courseReceipt(context.db, entry), repeated };
}
