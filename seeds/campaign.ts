// A maker's notice over one model: some are done, on one nothing was found, one waits for a part, one for its sign-off, the others are open.
import { addCampaignBodySchema } from "../shared/contracts/campaigns.ts";
import { notFoundBodySchema, repairBodySchema, signOffBodySchema, waitForPartBodySchema } from "../shared/contracts/defects.ts";
import { addCampaign } from "../src/campaigns/index.ts";
import { recordNotFound, recordRepair, signOffDefect, waitForPart } from "../src/defects/index.ts";
import { actor, dayOf, happens, hour, timeOf, type World, workdayOf } from "./world.ts";

export function tellCampaign(world: World): void {
  const { context, depots, models } = world;
  const { quay, yard } = depots;
  const jobs = new Map<string, string>();
  const on = (depot: typeof quay, offset: number, minutes: number, act: () => Promise<unknown>): void => {
    if (world.days < 14) return;
    happens(world, depot, timeOf(depot, workdayOf(depot, offset), minutes), async () => {
      await act();
    });
  };
  const job = (mark: string): string => {
    const id = jobs.get(mark);
    if (id === undefined) throw new Error(`the campaign has no job at ${mark}`);
    return id;
  };
  const repaired = (mark: string, by: string): Promise<unknown> => {
    const workDone = "Both bolts out, threads cleaned, fitted with locking compound and tightened with the torque wrench";
    const body = { id: context.newId(), performedAt: context.clock.now().toISOString(), workDone, minutes: 15 };
    return recordRepair(context, actor(world, by), job(mark), repairBodySchema.parse(body));
  };
  const signed = (mark: string, by: string): Promise<unknown> =>
    signOffDefect(context, actor(world, by), job(mark), signOffBodySchema.parse({ id: context.newId() }));

  // The days after a Sunday of this list are those before it: the notice comes two days ahead of the first job.
  on(quay, -7, hour(16, 20), async () => {
    const body = addCampaignBodySchema.parse({
      ...{ id: context.newId(), name: "Side stand bolts: maker's notice 11", modelIds: [models.vastrin.id] },
      job: "The two bolts of the side stand may work loose. Take them out, clean the threads, and fit them with locking compound to the torque in the notice.",
      ...{ grounds: false, dueDay: dayOf(quay, 12) },
    });
    const { receipt } = await addCampaign(context, actor(world, "F001"), body);
    for (const { registrationMark, defectId } of receipt.progress) if (defectId !== null) jobs.set(registrationMark, defectId);
  });
  on(quay, -5, hour(10, 5), () => repaired("L2R8F5", "M003"));
  on(quay, -5, hour(10, 40), () => signed("L2R8F5", "M001"));
  on(yard, -4, hour(14, 10), () => repaired("N8X2K1", "M004"));
  on(yard, -4, hour(14, 25), () => signed("N8X2K1", "M002"));
  on(quay, -3, hour(9, 20), () => repaired("L3S6G2", "M003"));
  on(yard, -3, hour(11, 30), () => {
    const reason = "Its stand is of the later kind, welded to its bracket: it has no such bolts";
    return recordNotFound(context, actor(world, "M002"), job("N8X2K9"), notFoundBodySchema.parse({ id: context.newId(), reason }));
  });
  on(yard, -2, hour(15, 15), () => {
    const reason = "One thread is worn; the bolt holds. A thread insert is ordered.";
    const body = { id: context.newId(), part: "a thread insert M8", reason, expectedDay: dayOf(yard, 5) };
    return waitForPart(context, actor(world, "M002"), job("N8Y5M3"), waitForPartBodySchema.parse(body));
  });
}
