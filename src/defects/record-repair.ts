import type { RepairBody } from "../../shared/contracts/defects.ts";
import { repair } from "../../shared/rules/course.ts";
import { notAfter } from "../../shared/rules/field-record.ts";
import type { AppContext } from "../acts/index.ts";
import { namedParts } from "../parts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse } from "./change-course.ts";
import { mustBeItsReading } from "./readings.ts";

/** Records what was done about a defect. The machine stays grounded until somebody competent signs it off. */
export async function recordRepair(context: AppContext, actor: Actor, defectId: string, { parts, ...sent }: RepairBody) {
  const body = { ...sent, ...(parts === undefined ? {} : { parts: await namedParts(context.db, sent.id, parts) }) };
  return changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-repaired", event: "repair", body, performedAt: new Date(body.performedAt) },
      write: ({ entry, data, submitted }) => ({ ...entry, kind: "defect-repaired", data: { ...data, submitted } }),
    },
    (facts, recordedAt) => {
      mustBeItsReading(facts, defectId, body.reading);
      const performedAt = notAfter(new Date(body.performedAt), recordedAt).toISOString();
      const done = { id: body.id, staffId: actor.staffId, performedAt, reading: body.reading ?? null };
      return repair(facts.state, defectId, done, body.parts?.length ?? 0);
    },
  );
}
