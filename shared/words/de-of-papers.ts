// The German words of the papers that the service makes: no page needs them.
import { campaignReportWords } from "./de/campaign-reports.ts";
import { checkReportWords } from "./de/check-reports.ts";
import { defectReportWords } from "./de/defect-reports.ts";
import { fallReportWords } from "./de/fall-reports.ts";
import { figureWords } from "./de/figures.ts";
import { insightWords } from "./de/insight.ts";
import { printWords } from "./de/prints.ts";
import { reportWords } from "./de/reports.ts";
import { reviewWords } from "./de/review.ts";
import { roadworthinessReportWords } from "./de/roadworthiness-reports.ts";
import { sheetAndLabelWords } from "./de/sheets-and-labels.ts";
import { sourceWords } from "./de/sources.ts";

export const deOfPapers = {
  ...reportWords,
  ...printWords,
  ...figureWords,
  ...defectReportWords,
  ...roadworthinessReportWords,
  ...sheetAndLabelWords,
  ...checkReportWords,
  ...fallReportWords,
  ...campaignReportWords,
  ...reviewWords,
  ...insightWords,
  ...sourceWords,
} as const;
