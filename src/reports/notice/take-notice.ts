import type { Language } from "../../../shared/words/index.ts";
import type { AppContext, MachineFacts } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import type { Actor } from "../../platform/index.ts";
import { readStandings } from "../../readiness/index.ts";
import { frameOfDepot, identityOf, reasonsOnReport } from "../collect-frame.ts";
import { reportErrors } from "../errors.ts";
import { recordTaken } from "../record-taken.ts";
import { fileNameOf } from "../rules.ts";
import { composeNotice } from "./compose-notice.ts";

/**
 * The notice for a machine that may not be ridden now, as the board has it. `origin` is where the pages are opened. Throws
 * `nothing-to-hang-up` for one that may be ridden, or may as soon as it was checked.
 */
export async function takeNotice(
  context: AppContext,
  actor: Actor,
  facts: MachineFacts,
  origin: string,
  language: Language,
): Promise<ReportFile> {
  const { id: machineId, depotId, registrationMark } = facts.machine;
  const { lines } = await readStandings(context, { depotIds: [depotId], asked: depotId });
  const line = lines.find(({ machine }) => machine.id === machineId);
  if (line === undefined || line.standing === "fit" || line.standing === "unchecked")
    throw reportErrors.problem("nothing-to-hang-up", "Nothing but a check keeps this machine off the road now, or it has left the fleet.");
  const frame = await frameOfDepot(context, facts.depot, language);
  const report = composeNotice({
    ...{ frame, machine: identityOf(facts), since: line.groundedAt, origin },
    // What it may be ridden with does not keep it here.
    reasons: reasonsOnReport(frame)(line.reasons.filter(({ code }) => code !== "minor-defect")),
  });
  await recordTaken(context, actor, { paper: "machine-notice", depotId, machineId });
  return { report, fileName: fileNameOf("pdf", "do-not-ride", registrationMark) };
}
