import type { WaitForPartBody } from "../../shared/contracts/defects.ts";
import { waitForPart as letWait } from "../../shared/rules/course.ts";
import { type AppContext, depotRulesOf } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse } from "./change-course.ts";

/** A mechanic with the competence lets a defect wait for a part, once: a minor one is ridden until the part is expected. */
export const waitForPart = (context: AppContext, actor: Actor, defectId: string, body: WaitForPartBody) =>
  changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-waiting", event: "waiting", body },
      write: ({ entry, data, submitted }) => ({ ...entry, kind: "defect-waiting", data: { ...data, submitted } }),
    },
    (facts, recordedAt) =>
      letWait(facts.state, defectId, { recordId: body.id, expectedDay: body.expectedDay }, actor, recordedAt, depotRulesOf(facts)),
  );
