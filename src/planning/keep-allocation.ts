// The manager's allocation of a day, as it was proposed or changed by hand. It is a record, and its riders see it.
import type { KeepAllocationBody, KeptAllocation, LineFlag } from "../../shared/contracts/planning.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, type Ask, mustMatch, notValid, type ProblemIssue } from "../platform/index.ts";
import { holdAllocation, type KeptLine, readKept, writeKept } from "./allocation-store.ts";
import { planningErrors } from "./errors.ts";
import { type DayOfDepot, keptAnswer, lineFacts, versionOf } from "./line-facts.ts";
import { mayChange } from "./line-flags.ts";

/** Nobody knows further ahead who will be on shift and which machines will run (common practice, no source). */
const mostDaysAhead = 28;

/**
 * Keeps who rides what on a day, in place of what was kept before, with its record; the same lines again are recorded once.
 * Throws `not-valid`, `allocation-wrong`, `machine-ridden`, `changed-meanwhile`.
 */
export async function keepAllocation(
  context: AppContext,
  actor: Actor,
  { depot, day }: DayOfDepot,
  { allocations }: KeepAllocationBody,
  ifMatch?: string,
): Promise<KeptAllocation> {
  const now = context.clock.now();
  mustMakeSense(day, localDay(now, depot.timeZone), allocations);
  return recording(context, async (tx): Promise<KeptAllocation> => {
    const ask = context.db.rowsIn(tx);
    await holdAllocation(
      ask,
      depot.id,
      allocations.map(({ machineId }) => machineId),
    );
    const before = await readKept(ask, depot.id, day);
    const revision = before.head?.revision ?? 0;
    mustMatch(ifMatch, versionOf({ depotId: depot.id, day, revision }));
    if (before.head === null || !sameLines(before.lines, allocations)) {
      const lines = await mustBeRight(context, ask, { depot, day }, allocations);
      const entryId = context.newId();
      const data = { depotId: depot.id, day, revision: revision + 1, allocations: lines };
      await appendToFirm(context, tx, { staffId: actor.staffId, depotId: depot.id, recordedAt: now }, [
        { id: entryId, kind: "allocation-kept", performedAt: now, data },
      ]);
      await writeKept(ask, { depotId: depot.id, day, revision: revision + 1, entryId, by: actor.staffId, at: now, lines: allocations });
    }
    return keptAnswer(context, ask, { depot, day }, await readKept(ask, depot.id, day));
  });
}

type Lines = KeepAllocationBody["allocations"];

function sameLines(kept: readonly KeptLine[], sent: Lines): boolean {
  const machineOf = new Map(kept.map(({ staffId, machineId }) => [staffId, machineId]));
  return kept.length === sent.length && sent.every(({ staffId, machineId }) => machineOf.get(staffId) === machineId);
}

/** What shows without looking anything up. */
function mustMakeSense(day: string, today: string, lines: Lines): void {
  const issues: ProblemIssue[] = [];
  if (day < today) issues.push({ pointer: "/params/day", message: "is over" });
  if (day > addDays(today, mostDaysAhead)) issues.push({ pointer: "/params/day", message: `is more than ${mostDaysAhead} days ahead` });
  for (const member of ["staffId", "machineId"] as const) {
    const seen = new Set<string>();
    lines.forEach((line, index) => {
      if (seen.has(line[member])) issues.push({ pointer: `/allocations/${index}/${member}`, message: "is named twice" });
      seen.add(line[member]);
    });
  }
  if (issues.length > 0) throw notValid(issues);
}

const wrong = (issues: ProblemIssue[]) =>
  planningErrors.problem("allocation-wrong", "Machines cannot be given out like this. Nothing was stored.", { issues });

const said: Readonly<Record<Exclude<LineFlag, "licence-unknown" | "not-ready">, readonly ["staffId" | "machineId", string]>> = {
  unknown: ["staffId", "is the id of nobody"],
  left: ["staffId", "has left the firm"],
  "no-rider": ["staffId", "makes no daily checks, so rides nothing"],
  "not-at-this-depot": ["staffId", "does not belong to this depot"],
  "machine-not-here": ["machineId", "is no machine of this depot"],
  withdrawn: ["machineId", "is withdrawn from service"],
  licence: ["machineId", "may not be ridden with the licence class on file"],
  ridden: ["machineId", "is ridden by somebody else, who is cleared for it"],
};

/** The lines with what may yet change about them, by staff id. Throws `allocation-wrong` and `machine-ridden`. */
async function mustBeRight(context: AppContext, ask: Ask, day: DayOfDepot, lines: Lines) {
  const facts = await lineFacts(context, ask, day, lines);
  const issues: ProblemIssue[] = [];
  let isOnlyRidden = true;
  const kept = lines.flatMap((line, index) => {
    const { standing, flags } = facts(line);
    for (const flag of flags) {
      if (mayChange(flag)) continue;
      const [member, message] = said[flag];
      issues.push({ pointer: `/allocations/${index}/${member}`, message });
      isOnlyRidden &&= flag === "ridden";
    }
    return standing === null ? [] : [{ ...line, standing, flags: flags.filter(mayChange) }];
  });
  if (issues.length === 0) return kept;
  if (!isOnlyRidden) throw wrong(issues);
  throw planningErrors.problem("machine-ridden", "Somebody else is cleared to ride a machine that was given out. Nothing was stored.", {
    issues,
  });
}
