// A job of the plan in the language of the page, its day as people read days.
import type { WorkPlan } from "../../../shared/contracts/planning.ts";
import { sayJob } from "../../../shared/words/say-job.ts";
import { language, sayDay } from "./words.ts";

export const sayWork = ({ expectedDay, ...job }: WorkPlan["late"][number]): string =>
  sayJob(expectedDay === undefined ? job : { ...job, expectedDay: sayDay(expectedDay) }, language());
