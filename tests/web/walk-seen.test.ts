// Nobody says that all is well with what was never on the screen: the button of a station rests until each of its items has been in view.
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { itemById, itemOfTheDay } from "../../shared/catalogue/sheet.ts";
import { stationOrder } from "../../shared/catalogue/stations.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { Language } from "../../shared/words/speak.ts";
import { endsInView } from "../../src/web/walk/items-seen.ts";
import { chainMachine } from "../support/machines.ts";
import { chooseLanguage, describeInBrowser, expectNoEnglish, expectQuiet, expectSound, phone, smallest, testPages } from "./browser.ts";
import {
  type AtTheMachine,
  allWell,
  answerStation,
  checksOf,
  listAnswered,
  lookAtAll,
  openAtTheMachine,
  sendWalk,
  walkRound,
} from "./rider.ts";

test("an item is in view when both its ends are, at once or one after the other", () => {
  const screen = { top: 0, foot: 300 };
  expect(endsInView({ top: 10, foot: 80 }, screen)).toEqual({ head: true, foot: true });
  expect(endsInView({ top: 220, foot: 300.9 }, screen)).toEqual({ head: true, foot: true });
  // Cut by the bar at the foot, or gone at the top: a line of it was not to be read.
  expect(endsInView({ top: 240, foot: 310 }, screen)).toEqual({ head: true, foot: false });
  expect(endsInView({ top: -20, foot: 50 }, screen)).toEqual({ head: false, foot: true });
  // Taller than the screen.
  expect(endsInView({ top: 100, foot: 500 }, screen)).toEqual({ head: true, foot: false });
  expect(endsInView({ top: -200, foot: 200 }, screen)).toEqual({ head: false, foot: true });
});

describeInBrowser("what was never on the screen", () => {
  const { app } = testPages();

  /** Which station of the walk asks the item of the day, from 1. */
  const stationOfDayItem = ({ machineId }: AtTheMachine): number => {
    const question = { machineId, day: localDay(app.context.clock.now(), "Europe/London"), features: chainMachine };
    return stationOrder(itemById(itemOfTheDay(question))?.stationId ?? "");
  };
  const resting = ({ page }: AtTheMachine) => page.locator(".thumb .main[aria-disabled=true]");
  const begin = async ({ page, mark }: AtTheMachine, language: Language = "en") => {
    await chooseLanguage(page, language);
    await page.reload();
    await page.getByRole("link", { name: mark }).click();
    await page.locator(".station").waitFor();
  };
  /** How many items of the station do not lie whole between the top of the screen and the bar at its foot. */
  const cut = ({ page }: AtTheMachine): Promise<number> =>
    page.evaluate(() => {
      const foot = Math.min(innerHeight, document.querySelector(".thumb")?.getBoundingClientRect().top ?? 0);
      return [...document.querySelectorAll(".items button")].filter((item) => {
        const box = item.getBoundingClientRect();
        return box.top < -1 || box.bottom > foot + 1;
      }).length;
    });

  const tooWide = (page: Page): Promise<number> =>
    page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

  test.each(["en", "de"] as const)(
    "on a phone of 390 by 844 no item of any station is cut, spoken in %s, and nothing is scrolled",
    async (language) => {
      const opened = await openAtTheMachine(app, phone);
      await begin(opened, language);
      for (let station = 0; (await opened.page.locator(".finish").count()) === 0; station += 1) {
        expect(await cut(opened), `station ${station + 1}`).toBe(0);
        await answerStation(opened.page);
        expect(await opened.page.evaluate(() => scrollY)).toBe(0);
      }
      await opened.context.close();
    },
  );

  test.each(["en", "de"] as const)(
    "on the smallest phone the button says what is still to be looked at, and answers nothing, in %s",
    async (language) => {
      // The item of the day is asked after its own station: one whose item lies further on, so that none comes between here.
      let opened = await openAtTheMachine(app, smallest);
      while (stationOfDayItem(opened) <= 3) {
        await opened.context.close();
        opened = await openAtTheMachine(app, smallest);
      }
      const { page, machineId } = opened;
      await begin(opened, language);
      // The rear wheel has the most items.
      for (let station = 0; station < 2; station += 1) await answerStation(page);
      const button = page.locator(".thumb .main");
      const name = language === "en" ? /^Look further down: (\d) more$/ : /^Weiter unten: noch (\d)$/;
      const first = page.getByRole("button", { name });
      await first.waitFor();
      expect(await cut(opened)).toBeGreaterThanOrEqual(3);
      if (language === "de") await expectNoEnglish(page, "station with more below");
      // Who looks for faults scrolls: the station is opened anew after it.
      await expectSound(page, "station with more below");
      await page.locator(".thumb button").first().click();
      await allWell(page).click();
      await first.waitFor();
      const heading = await page.getByRole("heading", { level: 1 }).textContent();
      // Where the thumb is; a click by the test's own hand would scroll there first.
      const place = await button.boundingBox();
      for (let times = 0; times < 3; times += 1) {
        await page.touchscreen.tap((place?.x ?? 0) + 50, (place?.y ?? 0) + 30);
        await page.waitForTimeout(400);
      }
      expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe(heading);
      const before = Number((await button.textContent())?.match(/\d/)?.[0]);
      await page.evaluate(() => scrollBy(0, 140));
      await expect.poll(async () => Number((await button.textContent())?.match(/\d/)?.[0])).toBeLessThan(before);
      expect(await resting(opened).count()).toBe(1);
      await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
      // What was jumped over is still to be looked at, and lies above now.
      await lookAtAll(page);
      await allWell(page).click();
      // Back at a station that was answered nothing is asked anew.
      await page.locator(".thumb button").first().click();
      await allWell(page).click();
      await walkRound(page);
      await sendWalk(page);
      await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(1);
      expectQuiet(opened);
      await opened.context.close();
    },
  );

  test("what lies behind an open item is not looked at", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page } = opened;
    await begin(opened);
    await page.getByRole("button", { name: /^Look further down/ }).waitFor();
    const before = await page.locator(".thumb .main").textContent();
    await page.locator(".items button").first().click();
    await page.getByRole("dialog").waitFor();
    await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
    await page.waitForTimeout(200);
    expect(await page.locator(".thumb .main").textContent()).toBe(before);
    await opened.context.close();
  });

  test.each([
    ["large text", { width: 390, height: 844 }, 200],
    ["large text on the smallest phone", { width: 320, height: 568 }, 200],
    ["a phone that lies on its side", { width: 844, height: 390 }, 100],
    ["a small phone on its side with large text", { width: 568, height: 320 }, 200],
  ])("with %s the walk is gone round by scrolling alone", async (name, viewport, percent) => {
    const opened = await openAtTheMachine(app, { ...smallest, viewport, reducedMotion: "reduce" });
    const { page, machineId } = opened;
    await begin(opened, "de");
    await page.evaluate((size) => document.documentElement.style.setProperty("font-size", `${size}%`), percent);
    // The first look was before the text grew: what is seen is asked anew at the next station.
    await answerStation(page);
    for (; (await page.locator(".finish").count()) === 0; await answerStation(page)) {
      if ((await page.locator(".day-item").count()) > 0) continue;
      const station = `${name}: ${await page.getByRole("heading", { level: 1 }).textContent()}`;
      const looked = page.locator(".thumb .main.rests, .thumb .main[aria-disabled=false]");
      await looked.waitFor();
      expect(await page.locator(".thumb .rests").count(), station).toBe((await cut(opened)) === 0 ? 0 : 1);
      expect(await tooWide(page), station).toBeLessThanOrEqual(0);
    }
    await expectSound(page, `${name}, the end`);
    await sendWalk(page);
    await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(1);
    await opened.context.close();
  });

  test("by keyboard alone each item is reached and so seen, on the smallest screen too", async () => {
    const opened = await openAtTheMachine(app, { viewport: smallest.viewport });
    const { page } = opened;
    await begin(opened);
    await page.getByRole("button", { name: /^Look further down/ }).waitFor();
    const items = await page.locator(".items button").count();
    await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe("H1");
    for (let item = 0; item < items; item += 1) await page.keyboard.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.closest(".items") !== null)).toBe(true);
    await page.keyboard.press("Tab");
    await expect.poll(() => page.evaluate(() => document.activeElement?.textContent)).toBe("All well here");
    await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute("aria-disabled"))).toBe("false");
    const station = await page.locator(".walk > header").textContent();
    await page.keyboard.press("Enter");
    await listAnswered(page, station);
    await opened.context.close();
  });
});
