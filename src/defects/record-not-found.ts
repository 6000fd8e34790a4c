import type { NotFoundBody } from "../../shared/contracts/defects.ts";
import { isFirstLook, notFound } from "../../shared/rules/course.ts";
import { type AppContext, depotRulesOf } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse } from "./change-course.ts";
import { closingChange, mustBeItsReading, withinLimitsOf } from "./readings.ts";

/** A competent person looked, found no fault and says why. That closes the defect, unless it takes two people and this is the first. */
export const recordNotFound = (context: AppContext, actor: Actor, defectId: string, body: NotFoundBody) =>
  changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-not-found", event: "not-found", body },
      write: ({ entry, data, submitted, ending }) => ({ ...entry, kind: "defect-not-found", data: { ...data, ...ending, submitted } }),
    },
    (facts, recordedAt) => {
      mustBeItsReading(facts, defectId, body.reading);
      const closing = { recordId: body.id, closer: actor, reading: body.reading ?? null, recordedAt };
      const closed = notFound(facts.state, defectId, closing, withinLimitsOf(facts), depotRulesOf(facts));
      if (closed.refused !== null || isFirstLook(closed)) return closed;
      return { ...closed, change: closingChange(closed, actor, recordedAt) };
    },
  );
