// Campaigns in a browser: a manager adds one and sees how far it is, a mechanic finds its jobs at the bench and does them, an auditor reads
// it, a rider hears why a machine stands; in both languages.
import { expect, test } from "vitest";
import { addDays } from "../../shared/rules/calendar.ts";
import { word, wordCounted } from "../../shared/words/index.ts";
import { expectAnswer } from "../support/acts.ts";
import { testModel } from "../support/machines.ts";
import {
  chooseLanguage,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  phone,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";

describeInBrowser("a campaign", () => {
  const { app, as } = testPages();

  const addMachines = async (model: string, marks: readonly string[]): Promise<void> => {
    const { id: modelId } = await expectAnswer((await as("F001")).post("/v1/models").send(testModel(model)), 201);
    for (const registrationMark of marks) {
      const body = { registrationMark, modelId, depotId: app.cast.homeDepotId, odometerKm: 1000 };
      const inServiceFrom = app.context.clock.now().toISOString().slice(0, 10);
      await expectAnswer((await as("F001")).post("/v1/machines").send({ ...body, inServiceFrom }), 201);
    }
  };

  test.each(["en", "de"] as const)("is added, done on a machine, read and ended (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0], params = {}) => word(key, language, params);
    const [first, second] = [`CAMP${language.toUpperCase()}1`, `CAMP${language.toUpperCase()}2`];
    const [model, name] = [`Zzz ${language}`, `Xyz ${language}`];
    await addMachines(model, [first, second]);
    const opened = await openPageAs(app, "F001", language === "en" ? desk : smallest);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    const at = (path: string) => `${new URL(page.url()).origin}/#/${path}`;
    await page.goto(at("board"));
    await page.reload();
    await page.getByRole("link", { name: say("campaigns.title") }).click();
    await page.getByText(say("campaigns.lead")).waitFor();
    await expectSound(page, `campaigns, ${language}`);

    await page.getByText(say("campaigns.add"), { exact: true }).click();
    await page.getByLabel(say("campaigns.name"), { exact: true }).fill(name);
    await page.getByLabel(say("campaigns.job")).fill("Abc");
    const inAWeek = addDays(new Date().toISOString().slice(0, 10), 7);
    await page.getByLabel(say("campaigns.item")).selectOption("front-hydraulics");
    await page.getByLabel(say("campaigns.due"), { exact: true }).fill(inAWeek);
    await page.getByLabel(say("campaigns.marks")).fill("NOWHERE");
    await page.getByRole("button", { name: say("campaigns.add.do") }).click();
    await page.getByText(say("campaigns.unknown-marks", { marks: "NOWHERE" })).waitFor();
    await page.getByLabel(say("campaigns.marks")).fill("");
    await page.getByRole("button", { name: say("campaigns.add.do") }).click();
    await page.getByText(say("campaigns.nothing-chosen")).waitFor();
    await page.getByLabel(wordCounted("campaigns.model", 2, language, { model, count: "2" })).check();
    if (language === "de") await expectNoEnglish(page, "adding a campaign");
    await expectSound(page, `adding a campaign, ${language}`);
    await shoot(page, `campaigns-add-${language}`);
    await page.getByRole("button", { name: say("campaigns.add.do") }).click();
    await page.getByRole("heading", { level: 1, name }).waitFor();
    await page.getByText(wordCounted("campaigns.done", 0, language, { of: "2", count: "0" })).waitFor();
    const { items } = await expectAnswer((await as("F001")).get("/v1/campaigns"), 200);
    const campaign = items.find((one: { name: string }) => one.name === name);
    expect(campaign.totals).toMatchObject({ machines: 2, open: 2, grounded: 2 });

    await page.goto(at("bench"));
    const row = page
      .getByRole("listitem")
      .filter({ hasText: first })
      .filter({ hasText: say("campaign.named", { name }) });
    await row.waitFor();
    await expectSound(page, `bench with a campaign, ${language}`);
    await shoot(page, `campaigns-bench-${language}`);
    const { progress } = await expectAnswer((await as("F001")).get(`/v1/campaigns/${campaign.id}`), 200);
    // Its item is of the brakes, so two people have to look.
    for (const mechanic of ["M001", "M002"]) {
      const look = { id: app.context.newId(), reason: "Def" };
      await expectAnswer((await as(mechanic)).post(`/v1/defects/${progress[0].defectId}/not-found`).send(look), 201);
    }
    await page.goto(at(`bench/defect/${progress[1].defectId}`));
    await page.getByText(say("bench.of-campaign"), { exact: false }).waitFor();
    if (language === "de") await expectNoEnglish(page, "a campaign's job");
    await expectSound(page, `a campaign's job, ${language}`);
    await shoot(page, `campaigns-job-${language}`);
    await page.getByRole("link", { name: say("bench.of-campaign.open") }).click();
    await page.getByText(wordCounted("campaigns.done", 1, language, { of: "2", count: "1" })).waitFor();
    await page.getByText(say("campaigns.end"), { exact: true }).click();
    await page.getByLabel(say("campaigns.end.reason"), { exact: true }).fill("Ghi");
    if (language === "de") await expectNoEnglish(page, "a campaign");
    await expectSound(page, `a campaign, ${language}`);
    await shoot(page, `campaigns-one-${language}`);
    await page.getByRole("button", { name: say("campaigns.end.do") }).click();
    await page.getByRole("status").filter({ hasText: "Ghi" }).waitFor();
    await expectSound(page, `an ended campaign, ${language}`);
    await shoot(page, `campaigns-ended-${language}`);
    await page.goto(at("bench/campaigns"));
    await page.getByText(say("campaigns.is-ended"), { exact: false }).first().waitFor();
    await expectSound(page, `list of campaigns, ${language}`);
    await shoot(page, `campaigns-list-${language}`);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is refused to a mechanic who would weigh its job anew, with the reason; who may not add one has no form", async () => {
    await addMachines("Qqq", ["CAMPM1"]);
    const machines = await expectAnswer((await as("F001")).get("/v1/machines?mark=CAMPM1"), 200);
    const body = { id: crypto.randomUUID(), name: "Www", machineIds: [machines.items[0].id], job: "Abc", grounds: true };
    const added = await expectAnswer((await as("F001")).post("/v1/campaigns").send({ ...body, dueDay: "2029-12-31" }), 201);
    const opened = await openPageAs(app, "M001", desk);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    const origin = new URL(page.url()).origin;
    await page.goto(`${origin}/#/bench/defect/${added.progress[0].defectId}`);
    await page.getByRole("radio", { name: word("bench.act.regrade") }).check();
    await page.getByText(word("bench.refused.campaign-decides")).waitFor();
    await page.goto(`${origin}/#/bench/campaigns`);
    await page.getByText("Www", { exact: true }).waitFor();
    expect(await page.getByText(word("campaigns.add"), { exact: true }).count()).toBe(0);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("tells a rider why a machine stands", async () => {
    await addMachines("Rrr", ["CAMPR1"]);
    const machines = await expectAnswer((await as("F001")).get("/v1/machines?mark=CAMPR1"), 200);
    const body = { id: crypto.randomUUID(), name: "Vvv", machineIds: [machines.items[0].id], job: "Abc", grounds: true };
    await expectAnswer((await as("F001")).post("/v1/campaigns").send({ ...body, dueDay: "2029-12-31" }), 201);
    const opened = await openPageAs(app, "R001", phone);
    const { page } = opened;
    await page.getByText("CAMPR1").first().click();
    await page.getByText("Vvv", { exact: false }).first().waitFor();
    await shoot(page, "campaigns-rider");
    expectQuiet(opened);
    await opened.context.close();
  });
});
