import type { SheetKind } from "../../../shared/catalogue/types.ts";
import type { Language } from "../../../shared/words/index.ts";
import type { AppContext, MachineFacts } from "../../acts/index.ts";
import { sheetOf } from "../../checks/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { frameOfDepot, identityOf } from "../collect-frame.ts";
import { fileNameOf } from "../rules.ts";
import { composeBlankSheet } from "./compose-blank-sheet.ts";

/**
 * The paper sheet of a machine. It shows nothing from the records, so taking one is not recorded: a yard prints a stack of them.
 */
export async function takeBlankSheet(context: AppContext, facts: MachineFacts, kind: SheetKind, language: Language): Promise<ReportFile> {
  const report = composeBlankSheet({
    frame: await frameOfDepot(context, facts.depot, language),
    machine: identityOf(facts),
    sheet: sheetOf(facts, kind, context.clock.now(), language),
    minorWithinDays: facts.policy.minorDefectDays,
  });
  return { report, fileName: fileNameOf("pdf", `${kind}-sheet`, facts.machine.registrationMark) };
}
