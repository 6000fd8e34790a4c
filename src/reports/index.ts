// The door of the reports: over HTTP, and for whoever packs reports together, facts in and a PDF out.
export { composeBlankSheet } from "./blank-sheet/compose-blank-sheet.ts";
export { checkpointOnReport } from "./collect-frame.ts";
export { composeDefectReport } from "./defect-report/compose-defect-report.ts";
export { composeDefectSummary } from "./defect-summary/compose-defect-summary.ts";
export { reportErrors } from "./errors.ts";
export type {
  DefectReportFacts,
  DefectSummaryFacts,
  FleetReviewFacts,
  FleetRoadworthinessFacts,
  MachineRoadworthinessFacts,
} from "./facts.ts";
export { composeFleetReview } from "./fleet-review/compose-fleet-review.ts";
export { composeFleetRoadworthiness } from "./fleet-roadworthiness/compose-fleet-roadworthiness.ts";
export { composeLabels } from "./labels/compose-labels.ts";
export { composeMachineRoadworthiness } from "./machine-roadworthiness/compose-machine-roadworthiness.ts";
export { drawMonth } from "./month/draw-month.ts";
export { type MonthScope, monthAsked, monthScope } from "./month/month-scope.ts";
export { defused, recordFile } from "./month/record-file.ts";
export { countSealed, type SealedRow, sealedOfMonth } from "./month/record-store.ts";
export { recordTakenIn } from "./record-taken.ts";
export { reportRoutes } from "./routes.ts";
export type { BlankSheetFacts } from "./sheet-facts.ts";
