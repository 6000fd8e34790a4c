// The door of the reports: the papers over HTTP, and for whoever packs papers together, facts in and a PDF out.
export { composeBlankSheet } from "./compose-blank-sheet.ts";
export { composeDefectReport } from "./compose-defect-report.ts";
export { composeDefectSummary } from "./compose-defect-summary.ts";
export { composeFleetReview } from "./compose-fleet-review.ts";
export { composeFleetRoadworthiness } from "./compose-fleet-roadworthiness.ts";
export { composeLabels, labelAddress } from "./compose-labels.ts";
export { composeMachineRoadworthiness } from "./compose-machine-roadworthiness.ts";
export { drawMonth } from "./draw-month.ts";
export { reportErrors } from "./errors.ts";
export type {
  DefectReportFacts,
  DefectSummaryFacts,
  FleetReviewFacts,
  FleetRoadworthinessFacts,
  MachineRoadworthinessFacts,
} from "./facts.ts";
export { checkpointOnPaper } from "./gather-frame.ts";
export { type MonthScope, monthAsked, monthScope } from "./month-scope.ts";
export { defused, type RecordFormat, recordFile } from "./record-file.ts";
export { countSealed, recordsOfMonth, type SealedRow, sealedOfMonth } from "./record-store.ts";
export { recordTakenIn } from "./record-taken.ts";
export { reportRoutes } from "./routes.ts";
export type { BlankSheetFacts } from "./sheet-facts.ts";
export { calledIn } from "./store.ts";
