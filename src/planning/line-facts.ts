// How the lines of an allocation stand at the moment that counts: now, or for a day to come at its beginning.
import type { KeptAllocation, LineFlag } from "../../shared/contracts/planning.ts";
import { localDay, startOfDay } from "../../shared/rules/calendar.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { type AppContext, noteUnjudged, readPolicy } from "../acts/index.ts";
import type { Ask } from "../platform/index.ts";
import { findRiders, type Kept, type KeptLine } from "./allocation-store.ts";
import { type LineMachine, type LinePerson, lineFlags } from "./line-flags.ts";
import { machinesOfDepot, type PlanDepot } from "./store.ts";

export interface DayOfDepot {
  readonly depot: PlanDepot;
  readonly day: string;
}

/** The part that keeping another one changes: its tag says which one somebody read. */
export const versionOf = ({ depotId, day, revision }: Pick<KeptAllocation, "depotId" | "day" | "revision">) => ({ depotId, day, revision });

/** The answer about what is kept, read through `ask`. */
export async function keptAnswer(context: AppContext, ask: Ask, { depot, day }: DayOfDepot, kept: Kept): Promise<KeptAllocation> {
  const { head, lines } = kept;
  return {
    ...{ depotId: depot.id, day, revision: head?.revision ?? 0, keptAt: head?.keptAt ?? null },
    keptBy: head && { staffId: head.staffId, staffNumber: head.staffNumber, name: head.name },
    allocations: await withFlags(context, ask, { depot, day }, lines),
    caution: word("caution.line"),
  };
}

async function withFlags(context: AppContext, ask: Ask, { depot, day }: DayOfDepot, lines: readonly KeptLine[]) {
  const isOver = day < localDay(context.clock.now(), depot.timeZone);
  if (isOver || lines.length === 0) return lines.map((line) => ({ ...line, standing: null, flags: [] as LineFlag[] }));
  const facts = await lineFacts(context, ask, { depot, day }, lines);
  return lines.map((line) => ({ ...line, ...facts(line) }));
}

type Line = Pick<KeptLine, "staffId" | "machineId">;
/** The standing is null where the machine is not of the depot. */
type SaidOfLine = Pick<KeptAllocation["allocations"][number], "standing" | "flags">;

/** How a line stands now, or for a day to come at its beginning. */
export async function lineFacts(
  context: AppContext,
  ask: Ask,
  { depot, day }: DayOfDepot,
  lines: readonly Line[],
): Promise<(line: Line) => SaidOfLine> {
  const staffIds = lines.map(({ staffId }) => staffId);
  const known = await findRiders(ask, depot.id, staffIds);
  const machines = await readyOrNot(context, ask, { depot, day });
  const people = new Map<string, LinePerson>(known.map((person) => [person.staffId, person]));
  const here = new Map<string, LineMachine>(machines.map((machine) => [machine.id, machine]));
  return ({ staffId, machineId }) => {
    const machine = here.get(machineId);
    return { standing: machine?.standing ?? null, flags: lineFlags(staffId, people.get(staffId), machine) };
  };
}

/** The depot's machines with standing and riders, now or for a day to come at its beginning. */
export async function readyOrNot(context: AppContext, ask: Ask, { depot, day }: DayOfDepot) {
  const now = context.clock.now();
  const at = day === localDay(now, depot.timeZone) ? now : startOfDay(day, depot.timeZone);
  const [policy, machines] = [await readPolicy({ rows: ask }), await machinesOfDepot({ rows: ask }, depot.id)];
  noteUnjudged(context, machines);
  const place = { timeZone: depot.timeZone, policy };
  return machines.map((machine) => ({
    ...machine,
    standing: standingAt(machine.state, at, place).standing,
    riddenBy: ridersOf(machine.state, at),
  }));
}

/** Who holds a clearance that runs at that moment. */
const ridersOf = ({ clearances }: MachineState, at: Date): string[] =>
  clearances.filter(({ validUntil }) => validUntil > at.toISOString()).map(({ riderId }) => riderId);
