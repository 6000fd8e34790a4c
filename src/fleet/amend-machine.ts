import type { Machine, MachineAmendment } from "../../shared/contracts/fleet.ts";
import { type AppContext, actOnMachine, type MachineFacts } from "../acts/index.ts";
import { type Actor, mustMatch, mustSeeDepot } from "../platform/index.ts";
import { type InWords, wordsIfRead } from "../readiness/index.ts";
import { markTaken, mustExist } from "./add-machine.ts";
import { machineSummary, openIn } from "./machine-summary.ts";
import { type Amended, amend, particularsKnown, readIdentity } from "./rules.ts";
import { isMarkTaken, type MachineRow } from "./store.ts";

/**
 * Changes a machine's particulars, sets its odometer, withdraws it, takes it out of the fleet or brings it back, each with its record; asked
 * twice, it records once. Throws `not-valid`, `not-found`, `other-depot` (of either depot), `mark-taken`, also where another machine has taken the
 * mark of one that comes back, `already-withdrawn`, `machine-disposed`, `changed-meanwhile`.
 */
export async function amendMachine(
  context: AppContext,
  actor: Actor,
  id: string,
  body: MachineAmendment,
  ifMatch?: string,
): Promise<Machine> {
  const { registrationMark: _mark, vin: _vin, ...others } = body;
  const asked = { ...others, ...readIdentity(body) };
  if (body.depotId !== undefined) mustSeeDepot(actor, body.depotId);
  const named = await mustExist(context, body);
  // The answer is made from what was decided: once it is stored, nothing can fail that the answer needs.
  const decided: ((inWords: InWords) => Machine)[] = [];
  let mark = "";
  let open: ReturnType<typeof openIn> = [];
  try {
    await actOnMachine(context, { machineId: id, actor }, (facts, recordedAt) => {
      // Asked here too: where nothing is to change there is no act to ask it, and there is an answer all the same.
      mustSeeDepot(actor, facts.machine.depotId);
      mustMatch(ifMatch, particularsKnown(facts));
      const { entries, ...amended } = amend(facts, asked, recordedAt, context.newId);
      const row = rowAfter(facts, amended, named);
      mark = row.registrationMark;
      open = openIn(row);
      decided.push((inWords) => machineSummary(row, facts.policy, recordedAt, actor.staffId, inWords));
      return { ...amended, entries: atLeastOne(entries) };
    });
  } catch (error) {
    if (isMarkTaken(error)) throw markTaken(mark);
    if (!(error instanceof AsAskedAlready)) throw error;
  }
  const last = decided.at(-1);
  if (!last) throw new Error("what was stored was decided");
  return last(await wordsIfRead(context.db, open));
}

/** The machine's row as the amendment leaves it. */
function rowAfter(
  { machine, model, depot: depotBefore }: MachineFacts,
  { state, particulars, depotId }: Omit<Amended, "entries">,
  named: Awaited<ReturnType<typeof mustExist>>,
): MachineRow {
  const {
    name: depotName,
    timeZone,
    ruleSet,
    secondPerson,
    clearanceOverMidnight,
  } = depotId === machine.depotId ? depotBefore : (named.depot ?? depotBefore);
  const { id, registrationMark, vin, inServiceFrom } = machine;
  const modelId = particulars.modelId ?? model.id;
  const modelName = modelId === model.id ? model.name : (named.model?.name ?? model.name);
  return {
    ...{ id, registrationMark, vin, inServiceFrom, ...particulars, modelId, modelName },
    ...{ depotId, depotName, timeZone, ruleSet, secondPerson, clearanceOverMidnight, state },
  };
}

/** Ends the act where there is nothing to record. */
class AsAskedAlready extends Error {}

function atLeastOne([first, ...others]: Amended["entries"]): [Amended["entries"][number], ...Amended["entries"]] {
  if (!first) throw new AsAskedAlready();
  return [first, ...others];
}
