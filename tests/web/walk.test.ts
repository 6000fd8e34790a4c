// The rider at half past five: a phone, cold hands, and maybe no signal.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { peopleAtHand } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  closeBrowserAfterwards,
  describeInBrowser,
  expectQuiet,
  expectSound,
  type Opened,
  openPage,
  phone,
  shoot,
  signInOn,
  smallest,
} from "./browser.ts";

describeInBrowser("the rider's phone", () => {
  let app: TestApp;
  let number = 0;
  beforeAll(async () => {
    app = await openTestApp();
  });
  afterAll(() => app.close());
  closeBrowserAfterwards();

  /** A machine of its own for each test, and a phone on which the rider is signed in. */
  async function atTheMachine(options = phone as Parameters<typeof openPage>[1]): Promise<Opened & { mark: string; machineId: string }> {
    number += 1;
    const mark = `WALK${number}`;
    const machineId = await addTestMachine(app, { mark });
    const opened = await openPage(app, options);
    await signInOn(opened.page, "R001");
    await opened.page.getByRole("link", { name: mark }).waitFor();
    return { ...opened, mark, machineId };
  }

  const allWell = (page: Page) => page.getByRole("button", { name: /^(All well here|The rest is well)$/ });
  const stationsOf = async (page: Page): Promise<number> => Number(await page.locator("progress").first().getAttribute("max"));
  const checksOf = async (machineId: string) =>
    (await (await peopleAtHand(app)("F001")).get("/v1/daily-checks").query({ machineId })).body.items as {
      decision: string;
      flags: string[];
      durationSeconds: number;
      answers: { itemId: string; result: string; photoIds?: string[] }[];
    }[];

  /** Answers every station with one touch; answers how many touches it took. */
  async function walkRound(page: Page): Promise<number> {
    await allWell(page).waitFor();
    const stations = await stationsOf(page);
    for (let step = 0; step < stations; step += 1) await allWell(page).click();
    return stations;
  }

  test("a check that finds nothing takes one touch a station and two more, and no typing", async () => {
    const opened = await atTheMachine();
    const { page, mark, machineId } = opened;
    let touches = 0;
    await page.evaluate(() => {
      const counting = window as unknown as { touches: number };
      counting.touches = 0;
      addEventListener("click", () => (counting.touches += 1), true);
    });
    await expectSound(page, "choose");
    await shoot(page, "walk-choose");
    await page.getByRole("link", { name: mark }).click();
    await page.getByRole("heading", { name: "Saddle and bars" }).waitFor();
    await expectSound(page, "station");
    await shoot(page, "walk-station");
    const stations = await walkRound(page);
    await page.getByRole("heading", { name: "Nothing found" }).waitFor();
    await expectSound(page, "finish");
    await shoot(page, "walk-finish");
    await page.getByRole("button", { name: /^All well at 1,000 km/ }).click();
    touches = await page.evaluate(() => (window as unknown as { touches: number }).touches);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "answer: ride");
    await shoot(page, "walk-ride");
    expect(touches).toBeLessThanOrEqual(stations + 2);
    const [check] = await checksOf(machineId);
    expect(check?.decision).toBe("ride");
    expect(check?.answers.every(({ result }) => result === "ok")).toBe(true);
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("what is seen is picked at its item, and a dangerous one fills the screen with what to do now", async () => {
    const opened = await atTheMachine(smallest);
    const { page, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await allWell(page).click();
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("Cut in tread or wall").click();
    await dialog.getByLabel("In your own words").fill("Seen at the left wall, ยางแตก, Zażółć");
    await expectSound(page, "item");
    await shoot(page, "walk-item");
    await dialog.getByRole("button", { name: "Done here" }).click();
    await expectSound(page, "station with a finding");
    await shoot(page, "walk-station-found");
    while (await allWell(page).isVisible()) await allWell(page).click();
    await page.getByRole("heading", { name: "One thing found" }).waitFor();
    await page.getByRole("button", { name: /^Send at/ }).click();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "answer: do not ride");
    await shoot(page, "walk-do-not-ride");
    const [check] = await checksOf(machineId);
    expect(check?.decision).toBe("do-not-ride");
    expectQuiet(opened);
    await opened.context.close();
  });
});
