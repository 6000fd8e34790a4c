// Answers given by habit stop meaning anything: one item a day is asked by itself, nothing that skips the reading lies where the thumb has
// been, and what the walk took is said beside what it takes. Nothing refuses, and nothing scores.
import { expect, test } from "vitest";
import { itemOfTheDay } from "../../shared/catalogue/sheet.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { itemName } from "../../shared/words/item-words.ts";
import type { Language } from "../../shared/words/speak.ts";
import { chainMachine } from "../support/machines.ts";
import {
  chooseLanguage,
  describeInBrowser,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  phone,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";
import { type AtTheMachine, answerList, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("against habit", () => {
  const { app } = testPages();

  const dayItemOf = ({ machineId }: AtTheMachine) =>
    itemOfTheDay({ machineId, day: localDay(app.context.clock.now(), "Europe/London"), features: chainMachine });
  const begin = async ({ page, mark }: AtTheMachine, language: Language) => {
    await chooseLanguage(page, language);
    await page.reload();
    await page.getByRole("link", { name: mark }).click();
    await page.locator(".station, .day-item").waitFor();
  };
  /** From station to station by the button at the foot alone, until the item of the day is asked. */
  const upToDayItem = async ({ page }: AtTheMachine) => {
    while ((await page.locator(".day-item").count()) === 0) await answerList(page);
  };

  test.each([
    ["en", phone],
    ["de", smallest],
  ] as const)(
    "the item of the day is asked by itself, away from where the thumb has been, and only its own touch answers it, in %s",
    async (language, size) => {
      const opened = await openAtTheMachine(app, size);
      const { page, machineId } = opened;
      await begin(opened, language);
      const before = await page.locator(".thumb .main").boundingBox();
      await upToDayItem(opened);
      expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe(itemName(dayItemOf(opened), language));
      // The page moves the focus once it is drawn.
      await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe("H1");
      for (const answer of await page.locator(".day-answers button").all()) {
        const box = await answer.boundingBox();
        expect((box?.y ?? 0) + (box?.height ?? 0)).toBeLessThan(before?.y ?? 0);
      }
      if (language === "de") await expectNoEnglish(page, "item of the day");
      await expectSound(page, `item of the day, ${language}`);
      await shoot(page, `walk-day-item-${language}`);
      // The place of the habit answers nothing.
      await page.evaluate(() => scrollTo(0, 0));
      await page.touchscreen.tap((before?.x ?? 0) + (before?.width ?? 0) * 0.75, (before?.y ?? 0) + 30);
      await page.locator(".day-item").waitFor();
      // A phone that goes dark here asks it again, and does not take it for answered.
      await page.reload();
      await page.locator(".day-item").waitFor();
      await walkRound(page);
      await sendWalk(page);
      await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(1);
      expectQuiet(opened);
      await opened.context.close();
    },
  );

  test("what is seen at the item of the day is noted at once, and goes on", async () => {
    const opened = await openAtTheMachine(app, phone);
    const { page, machineId } = opened;
    await begin(opened, "en");
    await upToDayItem(opened);
    await page.getByRole("button", { name: "Something seen" }).click();
    const dialog = page.getByRole("dialog");
    // Nothing was noted: it is still asked.
    await dialog.getByRole("button", { name: "Nothing noted: back" }).click();
    await page.locator(".day-item").waitFor();
    await page.getByRole("button", { name: "Something seen" }).click();
    await dialog.getByLabel("In your own words").fill("not as it was");
    await dialog.getByRole("button", { name: "Done here" }).click();
    await page.locator(".day-item").waitFor({ state: "detached" });
    await walkRound(page);
    await sendWalk(page);
    await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(1);
    const [check] = await checksOf(app, machineId);
    expect(check?.answers.find(({ itemId }) => itemId === dayItemOf(opened))).toMatchObject({ result: "defect", note: "not as it was" });
    await opened.context.close();
  });

  test.each([
    ["en", phone],
    ["de", smallest],
  ] as const)(
    "nothing that leaves the reading out lies where the thumb has been; the answer says what the walk took, in %s",
    async (language, size) => {
      const opened = await openAtTheMachine(app, size);
      const { page, machineId } = opened;
      await begin(opened, language);
      const thumb = await page.locator(".thumb .main").boundingBox();
      await walkRound(page);
      const rests = page.locator(".thumb .main.rests");
      await rests.waitFor();
      expect(await rests.getAttribute("aria-disabled")).toBe("true");
      await page.touchscreen.tap((thumb?.x ?? 0) + (thumb?.width ?? 0) / 2, (thumb?.y ?? 0) + 30);
      await page.waitForTimeout(400);
      await page.touchscreen.tap((thumb?.x ?? 0) + (thumb?.width ?? 0) / 2, (thumb?.y ?? 0) + 30);
      await page.locator(".finish").waitFor();
      // The reading is asked for first, and what skips it says what it is.
      const order = await page.evaluate(() => {
        const section = document.querySelector(".finish section");
        const all = [...(section?.querySelectorAll("input:not([type=radio]), .keys, button") ?? [])];
        return all.map((node) =>
          node.matches("input") ? "field" : node.matches(".keys") ? "keys" : node.closest(".keys") ? "" : (node.textContent ?? ""),
        );
      });
      expect(order.filter((one) => one !== "")).toEqual([
        "field",
        "keys",
        language === "en" ? "Send without the reading" : "Ohne den Messwert senden",
      ]);
      if (language === "de") await expectNoEnglish(page, "finish without a reading");
      await expectSound(page, `finish without a reading, ${language}`);
      await shoot(page, `walk-finish-unread-${language}`);
      await sendWalk(page);
      const took = page.locator(".took");
      await took.waitFor();
      expect(await took.textContent()).toMatch(
        language === "en" ? /^This check took \d+ s\..*left out\.$/ : /^Diese Kontrolle dauerte \d+ s\..*fehlt\.$/,
      );
      if (language === "de") await expectNoEnglish(page, "answer without a reading");
      await expectSound(page, `answer without a reading, ${language}`);
      await shoot(page, `walk-took-${language}`);
      await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(1);
      await opened.context.close();
    },
  );

  test("with the reading the button under the thumb sends it", async () => {
    const opened = await openAtTheMachine(app, phone);
    const { page } = opened;
    await begin(opened, "en");
    await walkRound(page);
    await page.locator(".finish section").first().locator(".keys").getByRole("button", { name: "1", exact: true }).click();
    await page.getByRole("button", { name: /^All well at/ }).waitFor();
    expect(await page.getByRole("button", { name: "Send without the reading" }).count()).toBe(0);
    await opened.context.close();
  });
});
