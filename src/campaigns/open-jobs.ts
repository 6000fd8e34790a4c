// Opens the job of each campaign on the machines that it covers: at once when it is added, and again and again for what came since, or was left
// half done by a process that ended.
import { createHash } from "node:crypto";
import { openJob } from "../../shared/rules/campaign.ts";
import { type AppContext, actOnMachine, depotRulesOf } from "../acts/index.ts";
import { writeRaised } from "../defects/index.ts";
import { isIdTaken } from "../ledger/index.ts";
import { patiently } from "../platform/index.ts";
import { findUncovered, type UncoveredRow } from "./campaign-store.ts";

/** As many as are read and written beside each other; acts wait for one another in their own batches. */
const atOnce = 200;

/** Another process opened it meanwhile, or the machine has left the fleet since. */
class NothingToOpen extends Error {}

/** Opens what is to be opened, of one campaign or of all. A machine at which that fails is logged, and taken up again by the next look. */
export async function openJobs(context: AppContext, campaignId: string | null = null): Promise<number> {
  let opened = 0;
  for (let last: UncoveredRow | null = null; ; ) {
    const found: UncoveredRow[] = await findUncovered(context.db, campaignId, last, atOnce);
    const done = await Promise.all(found.map((one) => openIfThere(context, one)));
    opened += done.filter(Boolean).length;
    last = found.at(-1) ?? null;
    if (last === null || found.length < atOnce) return opened;
  }
}

async function openIfThere(context: AppContext, one: UncoveredRow): Promise<boolean> {
  try {
    await openAt(context, one);
    return true;
  } catch (error) {
    if (!(error instanceof NothingToOpen || isIdTaken(error)))
      context.log.error({ err: error, campaignId: one.id, machineId: one.machineId }, "a campaign's job could not be opened");
    return false;
  }
}

/** One defect, in the name of whoever added the campaign. Its id follows from campaign and machine, so that it is opened once. */
function openAt(context: AppContext, { machineId, job, addedBy, ...terms }: UncoveredRow) {
  const id = jobIdOf(terms.id, machineId);
  return actOnMachine<"defect-raised">(context, { machineId, actor: { staffId: addedBy, depotIds: null } }, (facts, recordedAt) => {
    const { state } = facts;
    if (state.disposed || state.defects.some((defect) => defect.id === id)) throw new NothingToOpen();
    const opened = openJob(state, terms, id, recordedAt, depotRulesOf(facts));
    const { findings, rows } = writeRaised(
      [{ ...opened, note: job, photoIds: [] }],
      {
        ...{ kind: "campaign", recordId: terms.id, machineId, depotId: facts.machine.depotId, staffId: addedBy },
        ...{ seenAt: recordedAt, recordedAt, photos: new Map() },
      },
      () => id,
    );
    const [entry] = findings;
    if (entry?.kind !== "defect-raised") throw new Error("a campaign's job is raised");
    return { entries: [{ ...entry, kind: "defect-raised" }], state: opened.state, rows };
  });
}

/** A UUID of version 8 (RFC 9562, 5.8) out of the hash of both ids. */
function jobIdOf(campaignId: string, machineId: string): string {
  const bytes = createHash("sha256").update(`campaign ${campaignId} machine ${machineId}`).digest().subarray(0, 16);
  bytes.writeUInt8((bytes.readUInt8(6) & 0x0f) | 0x80, 6);
  bytes.writeUInt8((bytes.readUInt8(8) & 0x3f) | 0x80, 8);
  const hex = bytes.toString("hex");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const lookEveryMs = 60_000;

/** Opens what is to be opened, now and then every minute, in each process; returns a function that stops it. */
export function keepCampaigns(context: AppContext): () => Promise<void> {
  const look = (): Promise<void> =>
    patiently(() => openJobs(context)).then(
      (opened) => {
        if (opened > 0) context.log.info({ opened }, "jobs of campaigns were opened on machines");
      },
      (error: unknown) => context.log.error({ err: error }, "it could not be looked which machines campaigns cover"),
    );
  let underWay = look();
  const timer = setInterval(() => {
    underWay = underWay.then(look);
  }, lookEveryMs);
  timer.unref();
  return async () => {
    clearInterval(timer);
    await underWay;
  };
}
