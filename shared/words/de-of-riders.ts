// The German words that a rider's phone needs, apart from those of the desks, so that its first screen comes soon on a poor link.
import { catalogueWords } from "./de/catalogue.ts";
import { dailyWords } from "./de/daily.ts";
import { dailyWheelAndBrakeWords } from "./de/daily-wheels-and-brakes.ts";
import { fallWords } from "./de/falls.ts";
import { generalWords } from "./de/general.ts";
import { methodWords } from "./de/methods.ts";
import { pageWords } from "./de/pages.ts";
import { phonePageWords } from "./de/phone-page.ts";
import { problemWords } from "./de/problems.ts";
import { reasonWords } from "./de/reasons.ts";
import { walkPageWords } from "./de/walk-page.ts";
import { weeklyWords } from "./de/weekly.ts";
import { weeklyEngineAndDriveWords } from "./de/weekly-engine-and-drive.ts";
import { weeklyWheelAndBrakeWords } from "./de/weekly-wheels-and-brakes.ts";

export const deOfRiders = {
  ...generalWords,
  ...catalogueWords,
  ...dailyWords,
  ...dailyWheelAndBrakeWords,
  ...weeklyWords,
  ...weeklyEngineAndDriveWords,
  ...weeklyWheelAndBrakeWords,
  ...methodWords,
  ...reasonWords,
  ...fallWords,
  ...phonePageWords,
  ...problemWords,
  ...pageWords,
  ...walkPageWords,
} as const;
