// All English words, from one file for each area.
import { auditWords } from "./en/audit.ts";
import { auditPageWords } from "./en/audit-page.ts";
import { benchPageWords } from "./en/bench-page.ts";
import { boardPageWords } from "./en/board-page.ts";
import { catalogueWords } from "./en/catalogue.ts";
import { dailyWords } from "./en/daily.ts";
import { dailyWheelAndBrakeWords } from "./en/daily-wheels-and-brakes.ts";
import { generalWords } from "./en/general.ts";
import { insightWords } from "./en/insight.ts";
import { keepingWords } from "./en/keeping.ts";
import { methodWords } from "./en/methods.ts";
import { pageWords } from "./en/pages.ts";
import { paperWords } from "./en/papers.ts";
import { planningWords } from "./en/planning.ts";
import { reasonWords } from "./en/reasons.ts";
import { recordWords } from "./en/records.ts";
import { refusalWords } from "./en/refusals.ts";
import { reviewWords } from "./en/review.ts";
import { walkPageWords } from "./en/walk-page.ts";
import { weeklyWords } from "./en/weekly.ts";
import { weeklyEngineAndDriveWords } from "./en/weekly-engine-and-drive.ts";
import { weeklyWheelAndBrakeWords } from "./en/weekly-wheels-and-brakes.ts";

/** What the pages say: what another language must hold, as `de.ts` does. */
export const enOfPages = {
  ...generalWords,
  ...catalogueWords,
  ...dailyWheelAndBrakeWords,
  ...dailyWords,
  ...weeklyWheelAndBrakeWords,
  ...weeklyEngineAndDriveWords,
  ...weeklyWords,
  ...methodWords,
  ...reasonWords,
  ...pageWords,
  ...walkPageWords,
  ...boardPageWords,
  ...benchPageWords,
  ...auditPageWords,
} as const;

/** With what the service itself says in its papers, lists and problems: in English, for now. */
export const en = {
  ...enOfPages,
  ...auditWords,
  ...reviewWords,
  ...insightWords,
  ...keepingWords,
  ...paperWords,
  ...planningWords,
  ...recordWords,
  ...refusalWords,
} as const;
