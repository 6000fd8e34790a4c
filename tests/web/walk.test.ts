// The rider at half past five: a phone and cold hands.
import { statSync } from "node:fs";
import sharp from "sharp";
import { expect, test } from "vitest";
import { languages } from "../../shared/words/speak.ts";
import { chooseLanguage, describeInBrowser, desk, expectQuiet, expectSound, shoot, smallest, testPages } from "./browser.ts";
import { allWell, answerStation, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the rider's phone", () => {
  const { app, as } = testPages();

  test("a check that finds nothing takes one touch a station, one for the item of the day and two more, and no typing", async () => {
    const opened = await openAtTheMachine(app);
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
    await sendWalk(page);
    touches = await page.evaluate(() => (window as unknown as { touches: number }).touches);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    const paper = page.getByRole("link", { name: "Your check (PDF)" });
    const [check] = await checksOf(app, machineId);
    expect(await paper.getAttribute("href")).toMatch(new RegExp(`^/v1/daily-checks/${check?.id}/report\\.pdf`));
    await expectSound(page, "answer: ride");
    await shoot(page, "walk-ride");
    expect(touches).toBeLessThanOrEqual(stations + 2);
    expect(check?.decision).toBe("ride");
    expect(check?.answers.every(({ result }) => result === "ok")).toBe(true);
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("what is seen is picked at its item, and a dangerous one fills the screen with what to do now", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await answerStation(page);
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("Cut in tread or wall").click();
    await dialog.getByLabel("In your own words").fill("Seen at the left wall, ยางแตก, Zażółć");
    await expectSound(page, "item");
    await shoot(page, "walk-item");
    await dialog.getByRole("button", { name: "Done here" }).click();
    await expectSound(page, "station with a finding");
    await shoot(page, "walk-station-found");
    await walkRound(page);
    await page.getByRole("heading", { name: "One thing found" }).waitFor();
    await sendWalk(page);
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "answer: do not ride");
    await shoot(page, "walk-do-not-ride");
    const [check] = await checksOf(app, machineId);
    expect(check?.decision).toBe("do-not-ride");
    expectQuiet(opened);
    await opened.context.close();
  });

  test.each(languages)("the first usable screen of a rider weighs less than 90 KB of script and style, spoken in %s", async (language) => {
    const built = new URL("../../src/web/built", import.meta.url).pathname;
    const opened = await openAtTheMachine(app);
    await chooseLanguage(opened.page, language);
    const files: string[] = [];
    // What is needed at the machine is fetched a second after the list: beside a busy test that is before anybody looks.
    await opened.page.route("**/pages/at-the-machine-*", (route) => route.abort());
    opened.page.on("response", (answer) => files.push(new URL(answer.url()).pathname));
    await opened.page.reload();
    await opened.page.getByRole("link", { name: opened.mark }).waitFor();
    expect(await opened.page.evaluate(() => document.documentElement.lang)).toBe(language);
    const code = [...new Set(files)].filter((name) => /^\/pages\/.*\.(js|css)$/.test(name));
    expect(code.length).toBeGreaterThan(2);
    // Of no language but the one that is spoken, and of that what riders need.
    expect(code.filter((name) => /^\/pages\/[a-z]{2}-of-[a-z]+-[A-Z0-9]{8}\.js$/.test(name))).toHaveLength(1);
    const bytes = code.reduce((sum, name) => sum + statSync(`${built}${name}.gz`).size, 0);
    expect(bytes).toBeLessThan(90 * 1024);
    await opened.context.close();
  });

  test("a photo goes with what it shows", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await page.getByRole("button", { name: /Front brake and its cable/ }).click();
    await page.getByText("Comes back slowly").click();
    await page.locator("input[type=file]").setInputFiles({ name: "x.txt", mimeType: "image/png", buffer: Buffer.from("no picture") });
    await page.getByText("This phone cannot read that picture.").waitFor();
    const picture = await sharp({ create: { width: 3000, height: 1500, channels: 3, background: "#963" } })
      .jpeg()
      .toBuffer();
    await page.locator("input[type=file]").setInputFiles({ name: "seen.jpg", mimeType: "image/jpeg", buffer: picture });
    await page.getByText("Photos: 1").waitFor();
    await expectSound(page, "item with a photo");
    await page.getByRole("button", { name: "Done here" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    const photoId = check?.answers.find(({ itemId }) => itemId === "front-brake-cable")?.photoIds?.[0];
    expect(photoId).toBeDefined();
    const kept = async () => (await (await as("F001")).get(`/v1/photos/${photoId}`)).status;
    await expect.poll(kept).toBe(200);
    await context.close();
  });

  test("a camera that may not be used, and a code that is of no machine, are said in words", async () => {
    // No camera and no reader of codes is at hand in a test: these two stand in for what the phone has.
    const opened = await openAtTheMachine(app);
    const { page, context, mark } = opened;
    await page.evaluate(() => {
      const seen = window as unknown as { code: string };
      seen.code = "https://elsewhere.example/nothing";
      Object.assign(globalThis, {
        BarcodeDetector: class {
          detect = async () => [{ rawValue: seen.code }];
        },
      });
      HTMLMediaElement.prototype.play = async () => undefined;
      Object.defineProperty(navigator, "mediaDevices", {
        value: { getUserMedia: async () => Promise.reject(new DOMException("no", "NotAllowedError")) },
        configurable: true,
      });
    });
    await page.goto("/#/board");
    await page.goto("/#/walk");
    await page.getByLabel("Registration mark").fill("W");
    await page.getByRole("button", { name: "Scan" }).click();
    await page.getByText("The camera may not be used.").waitFor();
    await expectSound(page, "camera refused");
    await page.getByRole("button", { name: "Close" }).click();
    await page.evaluate(() => {
      navigator.mediaDevices.getUserMedia = async () => new MediaStream();
    });
    await page.getByRole("button", { name: "Scan" }).click();
    await page.getByText("That code belongs to no machine of your depot.").waitFor();
    await page.evaluate((text) => {
      (window as unknown as { code: string }).code = text;
    }, `https://ferrule.example/#/walk/${mark.toLowerCase()}`);
    await page.getByRole("heading", { name: "Saddle and bars" }).waitFor();
    await context.close();
  });

  test("a mark that is typed is found however it is written, and one that nobody carries is said so", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark } = opened;
    await page.getByLabel("Registration mark").fill("zz 99");
    await page.keyboard.press("Enter");
    await page.getByText("zz 99 is no machine of your depot").waitFor();
    await expectSound(page, "mark unknown");
    await page.getByLabel("Registration mark").fill(`${mark.slice(0, 2).toLowerCase()}-${mark.slice(2).toLowerCase()}`);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Saddle and bars" }).waitFor();
    await context.close();
  });

  test("what goes wrong on the way is reported by what is seen, and grounds the machine that was cleared", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("button", { name: "Done" }).click();
    await expectSound(page, "choose with a clearance");
    await shoot(page, "walk-cleared");
    await page.locator(".cleared", { hasText: mark }).getByRole("link", { name: "Something is wrong with it" }).click();
    expect(await page.getByRole("button", { name: "Send" }).isDisabled()).toBe(true);
    await page.getByText("Lights and horn").click();
    await page.getByRole("button", { name: "Stop lamp" }).click();
    await page.getByRole("dialog").getByRole("checkbox").last().check();
    await page.getByRole("button", { name: "Done here" }).click();
    await expectSound(page, "report");
    await shoot(page, "walk-report");
    await page.getByRole("button", { name: "Send" }).click();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "reported");
    const machine = (await (await as("F001")).get(`/v1/machines/${machineId}`)).body;
    expect(machine.standing).toBe("grounded");
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expectQuiet(opened);
    await context.close();
  });

  test("turned round for a script that is written from the right, nothing runs out of the page", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page, context, mark } = opened;
    await page.evaluate(() => {
      document.documentElement.dir = "rtl";
    });
    await expectSound(page, "choose from the right");
    await page.getByRole("link", { name: mark }).click();
    await page.locator(".station").waitFor();
    // The bar at the foot lies over what is below it until one scrolls.
    await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
    await expectSound(page, "station from the right");
    await shoot(page, "walk-from-the-right");
    const drawing = await page.locator(".machine-drawing").boundingBox();
    const items = await page.locator(".items").boundingBox();
    expect(drawing?.x ?? 0).toBeGreaterThan(items?.x ?? 0);
    await context.close();
  });

  test("the whole walk goes by keyboard alone, and the focus is where the next step is", async () => {
    const opened = await openAtTheMachine(app, desk);
    const { page, context, mark, machineId } = opened;
    /** Tab, as often as it takes, to what has this name. */
    const tabTo = async (name: RegExp) => {
      for (let count = 0; count < 60; count += 1) {
        await page.keyboard.press("Tab");
        if (name.test(await page.evaluate(() => document.activeElement?.textContent ?? ""))) return;
      }
      throw new Error(`no way by Tab to ${name}`);
    };
    await page.evaluate(() => document.body.focus());
    await tabTo(new RegExp(`^${mark}`));
    await page.keyboard.press("Enter");
    await allWell(page).waitFor();
    await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe("H1");
    await tabTo(/Grip turns freely/);
    await page.keyboard.press("Enter");
    const dialog = page.getByRole("dialog");
    await dialog.waitFor();
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    /** A button rests for a moment when the screen has changed; nobody's fingers are as fast as a test's. */
    const enter = async () => {
      await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute("aria-disabled"))).not.toBe("true");
      await page.keyboard.press("Enter");
    };
    while ((await page.locator(".finish").count()) === 0) {
      const byItself = (await page.locator(".day-item").count()) > 0;
      await tabTo(byItself ? /^It is well$/ : /^All well here$/);
      await enter();
      await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe("H1");
    }
    await tabTo(/^Send without the reading$/);
    await enter();
    await page.getByText("Sent. The service has it.").waitFor();
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Ride");
    expect((await checksOf(app, machineId)).length).toBe(1);
    expectQuiet(opened);
    await context.close();
  });
});
