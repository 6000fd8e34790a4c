// The English words of the pages, from one file for each area: what another language must hold, as `de.ts` does.
import { auditPageWords } from "./en/audit-page.ts";
import { benchPageWords } from "./en/bench-page.ts";
import { boardPageWords } from "./en/board-page.ts";
import { catalogueWords } from "./en/catalogue.ts";
import { dailyWords } from "./en/daily.ts";
import { dailyWheelAndBrakeWords } from "./en/daily-wheels-and-brakes.ts";
import { entryWords } from "./en/entries.ts";
import { fallWords } from "./en/falls.ts";
import { generalWords } from "./en/general.ts";
import { machinePapersPageWords } from "./en/machine-papers-page.ts";
import { methodWords } from "./en/methods.ts";
import { pageWords } from "./en/pages.ts";
import { phonePageWords } from "./en/phone-page.ts";
import { reasonWords } from "./en/reasons.ts";
import { walkPageWords } from "./en/walk-page.ts";
import { weeklyWords } from "./en/weekly.ts";
import { weeklyEngineAndDriveWords } from "./en/weekly-engine-and-drive.ts";
import { weeklyWheelAndBrakeWords } from "./en/weekly-wheels-and-brakes.ts";

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
  ...entryWords,
  ...fallWords,
  ...phonePageWords,
  ...pageWords,
  ...walkPageWords,
  ...boardPageWords,
  ...benchPageWords,
  ...auditPageWords,
  ...machinePapersPageWords,
} as const;
