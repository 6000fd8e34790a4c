// All English words, from one file for each area.

import { auditWords } from "./en/audit.ts";
import { campaignReportWords } from "./en/campaign-reports.ts";
import { checkReportWords } from "./en/check-reports.ts";
import { defectReportWords } from "./en/defect-reports.ts";
import { fallReportWords } from "./en/fall-reports.ts";
import { figureWords } from "./en/figures.ts";
import { inShortWords } from "./en/in-short.ts";
import { insightWords } from "./en/insight.ts";
import { keepingWords } from "./en/keeping.ts";
import { planningWords } from "./en/planning.ts";
import { printWords } from "./en/prints.ts";
import { recordWords } from "./en/records.ts";
import { refusalWords } from "./en/refusals.ts";
import { reportWords } from "./en/reports.ts";
import { reviewWords } from "./en/review.ts";
import { roadworthinessReportWords } from "./en/roadworthiness-reports.ts";
import { sheetAndLabelWords } from "./en/sheets-and-labels.ts";
import { sourceWords } from "./en/sources.ts";
import { witnessWords } from "./en/witness.ts";
import { enOfPages } from "./en-of-pages.ts";

/** With what the service itself says in its papers, lists and problems; German has its papers (`de-of-papers.ts`). */
export const en = {
  ...enOfPages,
  ...auditWords,
  ...campaignReportWords,
  ...checkReportWords,
  ...fallReportWords,
  ...figureWords,
  ...reviewWords,
  ...inShortWords,
  ...insightWords,
  ...keepingWords,
  ...reportWords,
  ...defectReportWords,
  ...roadworthinessReportWords,
  ...sheetAndLabelWords,
  ...sourceWords,
  ...planningWords,
  ...printWords,
  ...recordWords,
  ...refusalWords,
  ...witnessWords,
} as const;
