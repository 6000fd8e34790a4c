// What is said of campaigns elsewhere: on paper, in figures, in histories and audit packs, on phones; and what the records prove of them.
import { randomUUID } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import type { CampaignWithProgress } from "../../shared/contracts/campaigns.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import { openJobs } from "../../src/campaigns/open-jobs.ts";
import { expectAnswer, repairOf } from "../support/acts.ts";
import { testModel } from "../support/machines.ts";
import { expectAgreement, expectWholeChains } from "../support/proofs.ts";
import { reportAt } from "../support/report-at.ts";
import { nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machines: string[];
let campaign: CampaignWithProgress;
let before: object;

const today = () => app.context.clock.now().toISOString().slice(0, 10);
const get = async (path: string, who = "F001") => expectAnswer((await as(who)).get(path), 200);
const post = async (who: string, path: string, body: object, status = 201) => expectAnswer((await as(who)).post(path).send(body), status);
const pick = ({ all, done, noFault }: { all: { defects: number }; done: object; noFault: number }) => ({
  found: all.defects,
  done,
  noFault,
});
const figures = async () => ({
  rates: pick(await get("/v1/insight/rates")),
  risk: (await get("/v1/insight/risk")).machines.map(({ machineId, years }: { machineId: string; years: { points: number }[] }) => [
    machineId,
    years.map(({ points }) => points),
  ]),
});

beforeAll(async () => {
  const { id: modelId } = await post("F001", "/v1/models", testModel("Carrier 110"));
  machines = [];
  for (const registrationMark of ["CAMPA", "CAMPB", "CAMPC"]) {
    const body = { registrationMark, modelId, depotId: app.cast.homeDepotId, odometerKm: 1000, inServiceFrom: today() };
    machines.push((await post("F001", "/v1/machines", body)).id);
  }
  before = await figures();
  const job = "Look at the hose where it passes the fork, and renew it where it is chafed";
  const body = { id: randomUUID(), name: "Brake hose", modelIds: [modelId], job, grounds: true, dueDay: addDays(today(), 10) };
  campaign = await post("F001", "/v1/campaigns", body);
  const [first, second] = campaign.progress;
  app.context.clock.advance(60_000);
  await post("M001", `/v1/defects/${first?.defectId}/repairs`, repairOf(app));
  app.context.clock.advance(60_000);
  await post("M002", `/v1/defects/${first?.defectId}/sign-off`, { id: randomUUID() });
  await post("M001", `/v1/defects/${second?.defectId}/not-found`, { id: randomUUID(), reason: "Renewed last year" });
});

test("its paper says what, over which machines, until when, how many are done, where each stands, and what it keeps off the road", async () => {
  const { read } = await reportAt(await as("M001"), `/v1/campaigns/${campaign.id}/report.pdf`);
  const text = read.text.replaceAll("\u00a0", " ");
  for (const said of [
    "State of a campaign",
    "Brake hose",
    "2 of 3 machines are done",
    "1 done and signed off, 1 looked at with nothing found. It keeps 1 off the road.",
    "Carrier 110",
    "Look at the hose where it passes the fork",
    "signed off on",
    "nothing found on",
    "stands still",
    "CAMPC",
  ])
    expect(text).toContain(said);
  await expectAnswer((await as("R001")).get(`/v1/campaigns/${campaign.id}/report.pdf`), 403, "not-your-role");
});

test("a job is no finding: rates and risk are as they were, while its own report says where it comes from", async () => {
  expect(await figures()).toEqual(before);
  const { read } = await reportAt(await as("A001"), `/v1/defects/${campaign.progress[2]?.defectId}/report.pdf`);
  const text = read.text.replaceAll("\u00a0", " ");
  expect(text).toContain("Campaign: Brake hose");
  expect(text).toContain("Opened by a campaign that Person F001");
  expect(text).toContain("the campaign, which decides it");
});

test("a machine's history says it in both languages, and a rider's check is refused with the campaign's name", async () => {
  const [, , last = ""] = machines;
  const said = async (lang: string): Promise<string> => JSON.stringify(await get(`/v1/machines/${last}/history?lang=${lang}`));
  expect(await said("en")).toContain("Campaign: Brake hose");
  expect(await said("de")).toContain("Aktion: Brake hose");
  const { clearance } = await post("R001", "/v1/daily-checks", nilCheckOf(app, last));
  expect(clearance.decision).toBe("do-not-ride");
  expect(clearance.reasons.map(({ text }: { text: string }) => text).join(" ")).toContain("Campaign: Brake hose");
});

test("states follow from the records, and every chain is whole", async () => {
  expect(await openJobs(app.context)).toBe(0);
  await expectAgreement(app.context);
  await expectWholeChains(app.context);
});
