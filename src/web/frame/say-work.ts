// A job of the plan in the language of the page, its day as people read days.
import type { WorkPlan } from "../../../shared/contracts/planning.ts";
import { sayJob } from "../../../shared/words/say-job.ts";
import { language, sayDay } from "./words.ts";

export const sayWork = ({ expectedDay, backDay, ...job }: WorkPlan["late"][number]): string =>
  sayJob(
    {
      ...job,
      ...(expectedDay === undefined ? {} : { expectedDay: sayDay(expectedDay) }),
      ...(backDay === undefined ? {} : { backDay: sayDay(backDay) }),
    },
    language(),
  );
