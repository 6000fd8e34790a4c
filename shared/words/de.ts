// All German words of the pages, from one file for each area, as en.ts has them.
import { auditPageWords } from "./de/audit-page.ts";
import { benchPageWords } from "./de/bench-page.ts";
import { boardPageWords } from "./de/board-page.ts";
import { catalogueWords } from "./de/catalogue.ts";
import { dailyWords } from "./de/daily.ts";
import { dailyWheelAndBrakeWords } from "./de/daily-wheels-and-brakes.ts";
import { entryWords } from "./de/entries.ts";
import { fallWords } from "./de/falls.ts";
import { generalWords } from "./de/general.ts";
import { machinePapersPageWords } from "./de/machine-papers-page.ts";
import { methodWords } from "./de/methods.ts";
import { pageWords } from "./de/pages.ts";
import { phonePageWords } from "./de/phone-page.ts";
import { problemWords } from "./de/problems.ts";
import { reasonWords } from "./de/reasons.ts";
import { walkPageWords } from "./de/walk-page.ts";
import { weeklyWords } from "./de/weekly.ts";
import { weeklyEngineAndDriveWords } from "./de/weekly-engine-and-drive.ts";
import { weeklyWheelAndBrakeWords } from "./de/weekly-wheels-and-brakes.ts";
import type { WordsOfPages } from "./speak.ts";

export const de = {
  ...generalWords,
  ...catalogueWords,
  ...dailyWords,
  ...dailyWheelAndBrakeWords,
  ...weeklyWords,
  ...weeklyEngineAndDriveWords,
  ...weeklyWheelAndBrakeWords,
  ...methodWords,
  ...reasonWords,
  ...entryWords,
  ...fallWords,
  ...phonePageWords,
  ...problemWords,
  ...pageWords,
  ...walkPageWords,
  ...boardPageWords,
  ...benchPageWords,
  ...auditPageWords,
  ...machinePapersPageWords,
} as const satisfies WordsOfPages;
