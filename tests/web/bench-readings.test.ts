// The weekly inspection on the page: what was not measured is not called well, and what is missing is named with the way to it.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { itemName } from "../../shared/words/item-words.ts";
import { type WordKey, word } from "../../shared/words/speak.ts";
import { expectAnswer } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine } from "../support/sheets.ts";
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

describeInBrowser("readings at the bench", () => {
  const { app, as } = testPages();

  const slack = itemsFor(testMachine.features, "weekly").find(({ quantity }) => quantity === "chain-slack")?.id ?? "";
  const draftAnswer = async (machineId: string, itemId: string) => {
    const { items } = await expectAnswer((await as("M001")).get("/v1/weekly-inspections/drafts").query({ machineId }), 200);
    return items[0]?.answers.find((answer: { itemId: string }) => answer.itemId === itemId);
  };

  test("a measured item without its reading is put off and not called well, and the end leads straight to each that is missing", async () => {
    for (const language of ["en", "de"] as const) {
      const said = (key: WordKey) => word(key, language);
      const machineId = await addTestMachine(app, { inspected: false });
      const measured = itemsFor(testMachine.features, "weekly").filter(({ quantity }) => quantity !== undefined);
      const needed = measured.filter(({ quantityOptional }) => quantityOptional !== true).map(({ id }) => id);
      const optional = measured.filter(({ quantityOptional }) => quantityOptional === true).map(({ id }) => id);
      const opened = await openPageAs(app, "M001", language === "en" ? phone : smallest);
      const { page } = opened;
      await chooseLanguage(page, language);
      await page.goto(`/#/bench/inspect/${machineId}`);
      await page.reload();
      const overview = page.url();
      await page.locator(".thumb .main").click();
      await page.waitForURL((url) => url.href !== overview);
      // Whoever only touches the button at the foot comes to the end, and nothing that was not measured is well.
      let touches = 0;
      let later = 0;
      for (; !page.url().endsWith("/end"); touches += 1) {
        expect(touches).toBeLessThan(60);
        const before = page.url();
        const id = before.slice(before.lastIndexOf("/") + 1);
        // The address changes before the page is drawn.
        await page.getByRole("heading", { level: 1, name: itemName(id, language), exact: true }).waitFor();
        const name = (await page.locator(".thumb .main").textContent()) ?? "";
        expect(name, id).toBe(said(needed.includes(id) ? "bench.item.later" : "bench.item.well"));
        if (name === said("bench.item.later")) {
          await page.getByText(said("bench.reading.missing")).waitFor();
          if (later === 0) await expectSound(page, `item without its reading, ${language}`);
          later += 1;
        }
        await page.locator(".thumb .main").click();
        await page.waitForURL((url) => url.href !== before);
      }
      expect(later).toBe(needed.length);
      const group = page.getByRole("region", { name: said("bench.missing.missing") });
      expect(await group.getByRole("link").count()).toBe(needed.length);
      expect(await page.getByRole("button", { name: said("bench.submit") }).isDisabled()).toBe(true);
      await page.getByText(said("bench.missing.odometer")).waitFor();
      if (language === "de") await expectNoEnglish(page, "end with readings missing");
      await expectSound(page, `end with readings missing, ${language}`);
      await shoot(page, `bench-readings-missing-${language}`);
      // From one that is missing the way goes to the next of them, not through what is answered.
      await group.getByRole("link").first().click();
      await page.waitForURL((url) => url.href.endsWith(`/${needed[0]}`));
      await page.locator(".thumb .main").click();
      await page.waitForURL((url) => url.href.endsWith(`/${needed[1]}`));
      await page.goto(`/#/bench/inspect/${machineId}`);
      const list = page.getByRole("navigation", { name: said("bench.items") });
      expect(await list.getByText(said("bench.item.state.missing"), { exact: true }).count()).toBe(needed.length);
      expect(await list.getByText(said("bench.item.state.well-unmeasured"), { exact: true }).count()).toBe(optional.length);
      await page.setViewportSize(desk.viewport);
      await expectSound(page, `items with readings missing, ${language}`);
      expectQuiet(opened);
      await opened.context.close();
    }
  });

  test("a reading that was taken back, or that is asked about again, leaves its item open", async () => {
    const machineId = await addTestMachine(app, { inspected: false });
    const draft = { machineId, sheetVersion: SHEET_VERSION, revision: 0, answers: answersAsNew(testMachine) };
    await expectAnswer((await as("M002")).put(`/v1/weekly-inspections/drafts/${randomUUID()}`).send(draft), 200);
    const opened = await openPageAs(app, "M001", phone);
    const { page } = opened;
    await page.goto(`/#/bench/inspect/${machineId}/${slack}`);
    const reading = page.getByLabel("As found (mm)");
    await reading.fill("");
    await page.getByRole("button", { name: "Later" }).waitFor();
    await expect.poll(async () => (await draftAnswer(machineId, slack))?.result ?? null).toBeNull();
    await reading.fill("90");
    await page.getByRole("button", { name: "Later" }).click();
    await page.getByRole("region", { name: "To be read again" }).getByRole("link").click();
    await reading.fill("19");
    await page.getByRole("button", { name: "Well: next" }).click();
    await page.getByText("The odometer has to be read.").waitFor();
    expect(
      await page
        .getByRole("region")
        .filter({ has: page.getByRole("link") })
        .count(),
    ).toBe(0);
    await opened.context.close();
  });
});
