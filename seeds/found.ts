// The firm begins: people, depots, models, machines and their papers, through the doors that a manager uses.
import { depotBodySchema, type MachineBody, machineBodySchema, modelBodySchema } from "../shared/contracts/fleet.ts";
import { paperBodySchema } from "../shared/contracts/papers.ts";
import { addStaffBodySchema, type StaffMember } from "../shared/contracts/people.ts";
import { addDays, localDay } from "../shared/rules/calendar.ts";
import type { AppContext } from "../src/acts/index.ts";
import { addDepot, addMachine, addModel, addPaper } from "../src/fleet/index.ts";
import { addStaff, changeSecret, foundFirm } from "../src/people/index.ts";
import type { Actor } from "../src/platform/index.ts";
import type { Dice } from "./dice.ts";
import type { MachinePlan } from "./machines.ts";
import { demoModels, type ModelKey } from "./models.ts";
import { codeOf, type DepotKey, demoDepots, demoPeople, firmName, secretOf } from "./people.ts";
import { asSet, chainSharePerThousandKm, wornMachine } from "./wear.ts";
import { type DemoDepot, type DemoMachine, type DemoModel, judged, type World } from "./world.ts";

const actorOf = (member: StaffMember, context: AppContext): Actor => ({
  staffId: member.id,
  sessionId: context.newId(),
  staffNumber: member.staffNumber,
  name: member.name,
  role: member.role,
  roles: member.roles,
  depotIds: member.allDepots ? null : member.depotIds,
  competences: member.competences,
  mustChangeSecret: member.mustChangeSecret,
  licenceClass: member.licenceClass,
});

/** Somebody's first day: they replace the code that they were given by a secret of their own. */
async function settleIn(context: AppContext, member: StaffMember): Promise<Actor> {
  const { staffNumber } = member;
  const secrets = { current: codeOf(staffNumber), secret: secretOf(staffNumber) };
  await changeSecret(context, actorOf(member, context), secrets, { address: "127.0.0.1", deviceToken: null });
  return { ...actorOf(member, context), mustChangeSecret: false };
}

export interface Founded {
  readonly actors: Map<string, Actor>;
  readonly depots: Record<DepotKey, DemoDepot>;
  readonly models: Record<ModelKey, DemoModel>;
}

/** Founds the firm with everybody in it. One after the other, since the order is part of the record. */
export async function foundTheFirm(context: AppContext, now: Date): Promise<Founded> {
  const [first, ...others] = demoPeople;
  if (!first) throw new Error("the firm needs its manager");
  const founder = { staffNumber: first.number, name: first.name, secret: codeOf(first.number) };
  const manager = await settleIn(context, await foundFirm(context, { name: firmName, demo: true, manager: founder }));
  const actors = new Map([[first.number, manager]]);

  const openDepot = async (key: DepotKey): Promise<DemoDepot> => {
    const { id, timeZone } = await addDepot(context, manager, depotBodySchema.parse({ ...demoDepots[key], ruleSet: "gb" }));
    return { key, id, timeZone, today: localDay(now, timeZone), benchFreeAt: 0 };
  };
  const depots = { quay: await openDepot("quay"), yard: await openDepot("yard") };

  const takeModel = async (key: ModelKey): Promise<DemoModel> => {
    const body = modelBodySchema.parse(demoModels[key]);
    return { id: (await addModel(context, manager, body)).id, body };
  };
  const models = {
    brandelle: await takeModel("brandelle"),
    tikkerby: await takeModel("tikkerby"),
    vastrin: await takeModel("vastrin"),
    omblique: await takeModel("omblique"),
  };

  for (const { number, name, role, alsoRoles = [], depot, competences, licenceClass } of others) {
    const where = depot === null ? { allDepots: true } : { depotIds: [depots[depot].id] };
    const body = addStaffBodySchema.parse({
      ...{ staffNumber: number, name, roles: [role, ...alsoRoles], competences: [...competences], licenceClass, secret: codeOf(number) },
      ...where,
    });
    actors.set(number, await settleIn(context, await addStaff(context, manager, body)));
  }
  return { actors, depots, models };
}

/** Takes a machine into the fleet with its papers, and sets up the simulation of its wear. */
export async function takeMachine(world: World, manager: Actor, plan: MachinePlan): Promise<DemoMachine> {
  const { context, dice } = world;
  const depot = world.depots[plan.depot];
  const model = world.models[plan.model];
  const since = localDay(context.clock.now(), depot.timeZone);
  const body: MachineBody = {
    ...{ registrationMark: plan.mark, modelId: model.id, depotId: depot.id, odometerKm: plan.odometerKm },
    inServiceFrom: addDays(since, plan.odometerKm < 100 ? 0 : -Math.round(plan.odometerKm / 70)),
  };
  const { id } = await addMachine(context, manager, machineBodySchema.parse(body));
  for (const paper of papersOf(plan, depot.today, dice)) await addPaper(context, manager, id, paperBodySchema.parse(paper));

  const judgedMachine = judged({ model } as DemoMachine);
  const wear = wornMachine(judgedMachine, dice);
  if (plan.part === "slow-puncture") wear.leakPerDay.rear = 0.012;
  if (plan.part === "chain-near-its-end") {
    // About 1.9 % on the last day, of the 2 % that its handbook allows.
    const toRide = plan.kmPerDay * world.days * 0.86;
    wear.values.set("chain-length", asSet("chain-length", judgedMachine) * (1.019 - (chainSharePerThousandKm * toRide) / 1000));
  }
  return { plan, id, depot, model, wear, odometerKm: plan.odometerKm, open: [], stands: false, withdrawn: false, ridden: null };
}

/** Papers that were valid when the story began; one has expired since, and a few will in the weeks to come. */
function papersOf(plan: MachinePlan, today: string, dice: Dice) {
  const paper = (kind: string, prefix: string, validTo: string) => ({
    ...{ kind, number: `${prefix}-${dice.whole(100_000, 999_999)}`, validFrom: addDays(validTo, -364), validTo },
  });
  const insuredTo = plan.part === "papers-expired" ? addDays(today, -3) : addDays(today, dice.whole(12, 250));
  return [paper("insurance", "CV", insuredTo), paper("roadworthiness-test", "RT", addDays(today, dice.whole(9, 250)))];
}
