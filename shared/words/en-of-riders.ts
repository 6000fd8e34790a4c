// The English words that a rider's phone needs, apart from those of the desks, so that its first screen comes soon on a poor link.
import { catalogueWords } from "./en/catalogue.ts";
import { dailyWords } from "./en/daily.ts";
import { dailyWheelAndBrakeWords } from "./en/daily-wheels-and-brakes.ts";
import { fallWords } from "./en/falls.ts";
import { generalWords } from "./en/general.ts";
import { methodWords } from "./en/methods.ts";
import { pageWords } from "./en/pages.ts";
import { phonePageWords } from "./en/phone-page.ts";
import { reasonWords } from "./en/reasons.ts";
import { walkPageWords } from "./en/walk-page.ts";
import { weeklyWords } from "./en/weekly.ts";
import { weeklyEngineAndDriveWords } from "./en/weekly-engine-and-drive.ts";
import { weeklyWheelAndBrakeWords } from "./en/weekly-wheels-and-brakes.ts";

export const enOfRiders = {
  ...generalWords,
  ...catalogueWords,
  ...dailyWheelAndBrakeWords,
  ...dailyWords,
  ...weeklyWheelAndBrakeWords,
  ...weeklyEngineAndDriveWords,
  ...weeklyWords,
  ...methodWords,
  ...reasonWords,
  ...fallWords,
  ...phonePageWords,
  ...pageWords,
  ...walkPageWords,
} as const;
