import type { DeferralBody } from "../../shared/contracts/defects.ts";
import { defer } from "../../shared/rules/course.ts";
import { type AppContext, depotRulesOf } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse } from "./change-course.ts";

/** Records the decision to ride with a minor defect until a day within its limit. */
export const deferDefect = (context: AppContext, actor: Actor, defectId: string, body: DeferralBody) =>
  changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-deferred", event: "deferral", body },
      write: ({ entry, data, submitted }) => ({ ...entry, kind: "defect-deferred", data: { ...data, submitted } }),
    },
    (facts, recordedAt) => defer(facts.state, defectId, body.untilDay, recordedAt, depotRulesOf(facts)),
  );
