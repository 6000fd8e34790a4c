// A machine leaves the fleet on its page and comes back, in both languages, and is found below the board meanwhile.
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
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

describeInBrowser("a machine that is sold", () => {
  const { app } = testPages();

  test.each(["en", "de"] as const)("leaves the board from its page, stands below it, and is brought back (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0], params = {}) => word(key, language, params);
    const mark = `SOLD${language.toUpperCase()}1`;
    const machineId = await addTestMachine(app, { mark });
    const opened = await openPageAs(app, "F001", language === "en" ? desk : smallest);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    await page.goto(`${new URL(page.url()).origin}/#/bench/machine/${machineId}`);
    await page.reload();
    await page.getByText(say("leave-fleet.say")).click();
    await page.getByRole("radio", { name: say("leave-fleet.how.sold") }).check();
    await page.getByLabel(say("leave-fleet.note")).fill("Riding school");
    await expectSound(page, `leaving the fleet, ${language}`);
    await shoot(page, `leave-fleet-${language}`);
    await page.getByRole("button", { name: say("leave-fleet.do.sold") }).click();
    await page.getByText(say("leave-fleet.left", { mark })).waitFor();
    if (language === "de") await expectNoEnglish(page, "a machine that was sold");
    await expectSound(page, `a machine that was sold, ${language}`);
    await shoot(page, `leave-fleet-sold-${language}`);
    await page.goto(`${new URL(page.url()).origin}/#/board`);
    await page.getByText(say("board.left"), { exact: true }).click();
    const link = page.getByRole("link", { name: mark });
    await link.waitFor();
    expect(await page.getByRole("row").filter({ hasText: mark }).count()).toBe(0);
    await expectSound(page, `board with a machine that was sold, ${language}`);
    await link.click();
    await page.getByText(say("leave-fleet.bring-back"), { exact: true }).click();
    await shoot(page, `leave-fleet-back-${language}`);
    await page.getByRole("button", { name: say("leave-fleet.bring-back.do") }).click();
    await page.getByText(say("leave-fleet.back", { mark })).waitFor();
    await page.goto(`${new URL(page.url()).origin}/#/board`);
    await page.getByRole("row").filter({ hasText: mark }).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });
});
