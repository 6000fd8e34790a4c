import type { RegradeBody } from "../../shared/contracts/defects.ts";
import { regrade } from "../../shared/rules/course.ts";
import { type AppContext, depotRulesOf } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse, weightOf } from "./change-course.ts";

/**
 * A mechanic weighs a defect anew, with the reason, in a record of its own. It takes the item's competence, and two people to lower a
 * grounding defect of steering, wheels or brakes.
 */
export const regradeDefect = (context: AppContext, actor: Actor, defectId: string, body: RegradeBody) =>
  changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-regraded", event: "re-grade", body },
      write: ({ entry, data, submitted, defect }) => ({
        ...entry,
        kind: "defect-regraded",
        data: { ...data, submitted, weighed: weightOf(defect) },
      }),
    },
    (facts, recordedAt) => regrade(facts.state, defectId, body.category, { ...actor, recordId: body.id }, recordedAt, depotRulesOf(facts)),
  );
