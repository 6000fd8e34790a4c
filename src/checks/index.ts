export { saveInspectionDraft, showInspectionDraft } from "./draft-inspection.ts";
export { checkErrors } from "./errors.ts";
export { checkSheet, sheetOf } from "./make-sheet.ts";
export {
  type CheckRow,
  check,
  type InspectionRow,
  inspection,
  listDailyChecks,
  listWeeklyInspections,
  showDailyCheck,
  showWeeklyInspection,
} from "./read-checks.ts";
export { checkRoutes } from "./routes.ts";
export { sheetSha256, sheetText, sheetVersions } from "./sheet-versions.ts";
export { submitDailyCheck } from "./submit-daily-check.ts";
export { submitWeeklyInspection } from "./submit-weekly-inspection.ts";
