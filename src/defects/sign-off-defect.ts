import type { SignOffBody } from "../../shared/contracts/defects.ts";
import { signOff } from "../../shared/rules/course.ts";
import { type AppContext, depotRulesOf } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { changeCourse } from "./change-course.ts";
import { closingChange, mustBeItsReading, withinLimitsOf } from "./readings.ts";

/**
 * A competent person states that the defect is gone. Signing off the last one that grounds releases the machine, which then needs a new
 * check.
 */
export const signOffDefect = (context: AppContext, actor: Actor, defectId: string, body: SignOffBody) =>
  changeCourse(
    context,
    actor,
    {
      ...{ defectId, kind: "defect-signed-off", event: "sign-off", body },
      write: ({ entry, data, submitted, ending }) => ({ ...entry, kind: "defect-signed-off", data: { ...data, ...ending, submitted } }),
    },
    (facts, recordedAt) => {
      mustBeItsReading(facts, defectId, body.reading);
      const closing = { recordId: body.id, closer: actor, reading: body.reading ?? null, recordedAt };
      const closed = signOff(facts.state, defectId, closing, withinLimitsOf(facts), depotRulesOf(facts));
      return closed.refused !== null ? closed : { ...closed, change: closingChange(closed, actor, recordedAt) };
    },
  );
