// Somebody with two hats on the pages: they begin where the first role does, and have the areas of both.
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { chooseLanguage, describeInBrowser, expectQuiet, expectSound, openPageAs, phone, shoot, testPages } from "./browser.ts";

describeInBrowser("a manager who rides", () => {
  const { app, as } = testPages();

  test.each(["en", "de"] as const)("begins at the board and goes on to the walk round (%s)", async (language) => {
    const manager = await as("F001");
    const id = app.cast.staffId("F101");
    const roles = ["manager", "rider"];
    await expectAnswer(manager.patch(`/v1/staff/${id}`).send({ roles, depotIds: [app.cast.homeDepotId] }), 200);
    const mark = `TWO${language.toUpperCase()}1`;
    const machineId = await addTestMachine(app, { mark });
    const opened = await openPageAs(app, "F101", phone);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    await page.reload();
    const areas = page.getByRole("navigation", { name: word("page.areas", language) });
    await areas.getByRole("link", { name: word("page.area.board", language) }).waitFor();
    const names = (["walk", "board", "bench", "audit", "costs"] as const).map((area) => word(`page.area.${area}`, language));
    expect(await areas.getByRole("link").allTextContents()).toEqual(names);
    expect(await areas.locator("[aria-current=page]").textContent()).toBe(word("page.area.board", language));
    await expectSound(page, `a manager who rides, ${language}`);
    await shoot(page, `two-hats-${language}`);
    await areas.getByRole("link", { name: word("page.area.walk", language) }).click();
    await page.getByRole("link", { name: mark }).waitFor();
    await expectSound(page, `the walk of a manager, ${language}`);
    await page.getByRole("button", { name: /F101/ }).click();
    await page.getByText(`${word("role.manager", language)}, ${word("role.rider", language)}`).waitFor();
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    expectQuiet(opened);
    await opened.context.close();
  });
});
