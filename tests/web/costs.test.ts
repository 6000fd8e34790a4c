// Money on the pages, in both languages: a currency is chosen, a file of parts is read, a repair names a part by its number, and costs are told with what
// nobody knows.
import { afterAll, beforeAll, expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { type As, expectAnswer, peopleAtHand, repairOf, reportOf } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  chooseLanguage,
  closeBrowserAfterwards,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPage,
  shoot,
  signInOn,
  smallest,
} from "./browser.ts";

describeInBrowser("money on the pages", () => {
  let app: TestApp;
  let as: As;
  beforeAll(async () => {
    app = await openTestApp();
    as = peopleAtHand(app);
  });
  afterAll(() => app.close());
  closeBrowserAfterwards();

  test.each(["en", "de"] as const)("a currency, a file of parts, a repair and what it cost (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0], params = {}) => word(key, language, params);
    await expectAnswer((await as("F001")).patch("/v1/policy").send({ currency: null, hourlyRateMinor: null }), 200);
    const machineId = await addTestMachine(app, { mark: `COST${language.toUpperCase()}` });
    const reported = reportOf(app, machineId, "horn.weak");
    const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reported), 201);
    const opened = await openPage(app, language === "en" ? desk : smallest);
    const { page } = opened;
    await signInOn(page, "F001");
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    const at = (path: string) => `${new URL(page.url()).origin}/#/${path}`;
    await page.goto(at("costs"));
    await page.reload();
    await page.getByText(say("costs.no-currency")).waitFor();
    await expectSound(page, `costs without a currency, ${language}`);
    await page.getByLabel(say("costs.currency")).selectOption("EUR");
    await page.getByLabel(say("costs.rate")).fill("1.200,00");
    await page.getByText(/12[.,]50/).waitFor();
    await page.getByLabel(say("costs.rate")).fill(language === "en" ? "54.00" : "54,00");
    await page.getByRole("button", { name: say("costs.save") }).click();
    await page.getByText(say("costs.saved")).waitFor();

    await page.getByRole("link", { name: say("costs.parts") }).click();
    const file = async (text: string) => {
      await page.getByLabel(say("parts.import.file")).setInputFiles({ name: "parts.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
      await page.getByRole("button", { name: say("parts.import.do") }).click();
    };
    await file("number;name;price\nHN-1;Zzz;-1\n;Yyy;1\n");
    await page.getByRole("listitem").filter({ hasText: "price" }).waitFor();
    await expectSound(page, `a refused file, ${language}`);
    if (language === "de") await expectNoEnglish(page, "a refused file of parts");
    await shoot(page, `costs-file-refused-${language}`);
    await file(`\uFEFFnumber;name;price;fromDay\nHN-${language} 1;Zzz;12,50;2026-07-01\n`);
    await page.getByRole("status").filter({ hasText: "1" }).waitFor();
    await page.getByLabel(say("parts.number"), { exact: true }).fill("B 2");
    await page.getByLabel(say("parts.name"), { exact: true }).fill("Yyy");
    await page.getByLabel(say("parts.price"), { exact: true }).fill("3,05");
    await page.getByRole("button", { name: say("parts.keep") }).click();
    await page
      .getByRole("status")
      .filter({ hasText: say("parts.kept") })
      .waitFor();
    await page.getByRole("rowheader", { name: "B 2" }).waitFor();
    await expectSound(page, `the list of parts, ${language}`);
    await shoot(page, `parts-${language}`);

    const mechanic = await openPage(app, language === "en" ? desk : smallest);
    await signInOn(mechanic.page, "M001");
    await mechanic.page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(mechanic.page, language);
    await mechanic.page.goto(at(`bench/defect/${defect.id}`));
    await mechanic.page.reload();
    await mechanic.page.getByLabel(say("bench.part.number"), { exact: true }).fill(`hn-${language}1`);
    const name = mechanic.page.getByLabel(say("bench.part"), { exact: true });
    await expect.poll(() => name.inputValue()).toBe("Zzz");
    await expectSound(mechanic.page, `a part by its number, ${language}`);
    await shoot(mechanic.page, `bench-part-number-${language}`);
    expectQuiet(mechanic);
    await mechanic.context.close();

    const repair = repairOf(app, { minutes: 25, parts: [{ name: "Zzz", number: `HN-${language}1`, quantity: 2 }] });
    await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repair), 201);
    const other = await addTestMachine(app, { mark: `DEAR${language.toUpperCase()}` });
    const second = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, other, "horn.weak")), 201);
    await expectAnswer((await as("M001")).post(`/v1/defects/${second.defect.id}/repairs`).send(repairOf(app)), 201);
    await page
      .getByRole("link", { name: say("costs.title"), exact: true })
      .last()
      .click();
    const row = page.getByRole("row").filter({ hasText: `COST${language.toUpperCase()}` });
    await row.filter({ hasText: language === "en" ? "€47.50" : "47,50" }).waitFor();
    await expectSound(page, `costs, ${language}`);
    if (language === "de") await expectNoEnglish(page, "costs");
    await shoot(page, `costs-${language}`);
    await row.getByRole("link").click();
    await page.getByRole("heading", { name: language === "en" ? /What it has cost since/ : /Was sie seit/ }).waitFor();
    await expectSound(page, `a machine's costs, ${language}`);
    await shoot(page, `machine-costs-${language}`);
    expectQuiet(opened);
    await opened.context.close();
  });
});
