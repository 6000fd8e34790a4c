// A shelf on the pages, in both languages: a part is counted, some come, a repair names some, and the shelf says what is left.
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  chooseLanguage,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";

describeInBrowser("a shelf", () => {
  const { app, as } = testPages();

  test.each(["en", "de"] as const)("is counted, filled and emptied (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0], params = {}) => word(key, language, params);
    const number = `SH-${language.toUpperCase()}`;
    await expectAnswer((await as("F001")).put(`/v1/parts/${number}`).send({ name: `Zzz ${language}` }), 200);
    const opened = await openPageAs(app, "M001", language === "en" ? desk : smallest);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    await page.reload();
    await page.getByRole("link", { name: say("stock.title") }).click();
    const row = page.getByRole("listitem").filter({ hasText: number });
    await page.getByLabel(say("page.depot")).selectOption(app.cast.homeDepotId);
    await row.getByText(say("stock.never")).waitFor();
    await expectSound(page, `shelf, ${language}`);
    await row.getByRole("button").click();
    const record = async (how: "counted" | "received", many: string, left: string) => {
      await page.getByRole("radio", { name: say(`stock.how.${how}`) }).check();
      await page.getByLabel(say("stock.quantity")).fill(many);
      await page.getByRole("button", { name: say("stock.do") }).click();
      await row.getByText(say("stock.lies", { onHand: left }), { exact: false }).waitFor();
    };
    await page.getByLabel(say("stock.quantity")).fill("a box");
    await page.getByText(say("stock.not-a-quantity")).waitFor();
    expect(await page.getByRole("button", { name: say("stock.do") }).isDisabled()).toBe(true);
    await record("counted", language === "en" ? "2.5" : "2,5", language === "en" ? "2.5" : "2,5");
    app.context.clock.advance(60_000);
    await page.clock.fastForward(60_000);
    await record("received", "4", language === "en" ? "6.5" : "6,5");
    // As many again is another delivery, and not the answer to the first one.
    app.context.clock.advance(60_000);
    await page.clock.fastForward(60_000);
    await record("received", "4", language === "en" ? "10.5" : "10,5");
    if (language === "de") await expectNoEnglish(page, "a shelf");
    await expectSound(page, `a counted shelf, ${language}`);
    await shoot(page, `stock-${language}`);

    app.context.clock.advance(60_000);
    const machineId = await addTestMachine(app);
    const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
    const repair = repairOf(app, { parts: [{ name: "Zzz", number, quantity: 13 }] });
    await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repair), 201);
    await page.reload();
    await page.getByLabel(say("page.depot")).selectOption(app.cast.homeDepotId);
    await row.getByText(say("stock.again", { onHand: language === "en" ? "-2.5" : "-2,5" }), { exact: false }).waitFor();
    await expectSound(page, `a shelf to be counted again, ${language}`);
    await shoot(page, `stock-again-${language}`);
    expectQuiet(opened);
    await opened.context.close();
  });
});
