import { endOfDay, localDay } from "../../../shared/rules/calendar.ts";
import type { MachineState } from "../../../shared/rules/machine-state.ts";
import type { Language } from "../../../shared/words/index.ts";
import type { AppContext } from "../../acts/index.ts";
import type { ReportFile } from "../../pdf/index.ts";
import { namesOf } from "../../people/index.ts";
import { type Actor, mustHaveBegun, type View } from "../../platform/index.ts";
import { momentAsked, readStandings } from "../../readiness/index.ts";
import { type DepotsOfReport, depotsOfReport, machineIdentities, personIn, reasonsOnReport } from "../collect-frame.ts";
import { endingsOfLate, papersOnDay } from "../collect-papers.ts";
import { asAt, recordTaken } from "../record-taken.ts";
import type { MachineOnDay } from "../roadworthiness-facts.ts";
import { asAtInName, fileNameOf, momentOf } from "../rules.ts";
import { type DayCheckRow, type DepotRow, readDayChecks } from "../store.ts";
import { composeFleetRoadworthiness } from "./compose-fleet-roadworthiness.ts";

/** The board of a view, now, as at a moment, or as at the end of a day. Throws `not-valid`, `not-found`, `period-not-valid`. */
export async function takeFleetRoadworthiness(
  context: AppContext,
  actor: Actor,
  view: View,
  asked: { readonly on?: string | undefined; readonly at?: string | undefined },
  language: Language,
): Promise<ReportFile> {
  const moment = momentAsked(context.clock.now(), asked.at);
  const covered = await depotsOfReport(context, view, language, moment);
  const { frame, depots } = covered;
  const now = momentOf(frame);
  for (const { timeZone } of depots) mustHaveBegun("on", asked.on, localDay(now, timeZone));
  const machines: MachineOnDay[] = [];
  for (const depot of depots) machines.push(...(await boardOf(context, covered, depot, asked.on)));
  const on = asked.on ?? localDay(now, frame.timeZone);
  // The end of the day differs between time zones; a day that is not over is shown as of now.
  const ends = depots.map(({ timeZone }) => boardMoment(asked.on, timeZone, now)?.getTime() ?? now.getTime());
  const isOver = depots.some(({ timeZone }) => boardMoment(asked.on, timeZone, now) !== null);
  const at = new Set(ends).size > 1 ? null : new Date(ends[0] ?? now);
  const report = composeFleetRoadworthiness({ frame, on, at, isOver, machines });
  await recordTaken(context, actor, { paper: "fleet-roadworthiness", depotId: view.asked ?? null, on, ...asAt(moment) });
  return { report, fileName: fileNameOf("pdf", "fleet-roadworthiness", frame.depotName, on, asAtInName(moment)) };
}

/** The last moment of the day asked for; null for now, where none is asked for or the day is not over. */
function boardMoment(on: string | undefined, timeZone: string, now: Date): Date | null {
  if (on === undefined) return null;
  const end = endOfDay(on, timeZone);
  return end > now ? null : new Date(end.getTime() - 1);
}

/** A check counts for the day unless something grounded the machine after it. */
const counts = ({ performedAt }: DayCheckRow, { groundedAt }: MachineState): boolean =>
  groundedAt === null || performedAt.toISOString() >= groundedAt;

async function boardOf(
  context: AppContext,
  { frame, depots }: DepotsOfReport,
  depot: DepotRow,
  on: string | undefined,
): Promise<MachineOnDay[]> {
  const { db } = context;
  const moment = boardMoment(on, depot.timeZone, momentOf(frame));
  const { at, lines } = await readStandings(context, { depotIds: [depot.id], asked: depot.id }, moment ?? frame.asAt);
  const machineIds = lines.map(({ machine }) => machine.id);
  const [identities, checks, endings] = await Promise.all([
    machineIdentities(db, machineIds, { ofDepots: false, at: moment ?? frame.asAt ?? null }),
    readDayChecks(db, machineIds, localDay(at, depot.timeZone), at),
    endingsOfLate(db, machineIds, at, depot.timeZone, frame.language),
  ]);
  const people = await namesOf(
    db,
    checks.map(({ staffId }) => staffId),
  );
  const sayAll = reasonsOnReport(frame);
  const checkOf = new Map(checks.map((check) => [check.machineId, check]));
  return lines.flatMap(({ machine, standing, reasons }): MachineOnDay[] => {
    const identity = identities.get(machine.id)?.identity;
    const check = checkOf.get(machine.id);
    if (!identity) return [];
    return [
      {
        machine: depots.length > 1 ? { ...identity, depot } : identity,
        standing: moment !== null && standing === "unchecked" && check && counts(check, machine.state) ? "fit" : standing,
        // In the list of unchecked machines the reason 'unchecked' is left out, since the heading says it. For a day that is over it is
        // left out too: by the end of a day every clearance has run out.
        reasons: sayAll(moment !== null || standing === "unchecked" ? reasons.filter(({ code }) => code !== "unchecked") : reasons),
        check: check
          ? {
              at: check.performedAt,
              by: personIn(people, check.staffId),
              foundDefects: check.foundDefects,
            }
          : null,
        papers: papersOnDay(machine.state, localDay(at, depot.timeZone), frame.language),
        endings: endings.get(machine.id) ?? [],
      },
    ];
  });
}
