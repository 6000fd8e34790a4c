// The rider at half past five: a phone, cold hands, and maybe no signal.

import { statSync } from "node:fs";
import type { Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, expect, test } from "vitest";
import { peopleAtHand, reportOf } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
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

  test("the first usable screen of a rider weighs less than 90 KB of script and style", async () => {
    const built = new URL("../../src/web/built", import.meta.url).pathname;
    const opened = await atTheMachine();
    const files: string[] = [];
    opened.page.on("response", (answer) => files.push(new URL(answer.url()).pathname));
    await opened.page.reload();
    await opened.page.getByRole("link", { name: opened.mark }).waitFor();
    const code = [...new Set(files)].filter((name) => /^\/pages\/.*\.(js|css)$/.test(name));
    expect(code.length).toBeGreaterThan(2);
    const bytes = code.reduce((sum, name) => sum + statSync(`${built}${name}.gz`).size, 0);
    expect(bytes).toBeLessThan(90 * 1024);
    await opened.context.close();
  });

  test("a session that ends in the middle of a check loses nothing of it", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await allWell(page).click();
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    await page.getByLabel("In your own words").fill("Something stuck in it");
    await page.getByRole("button", { name: "Done here" }).click();
    const access = (await context.cookies()).find(({ name }) => name === "ferrule-access")?.value ?? "";
    expect((await app.clientWith(access).post("/v1/sign-out")).status).toBe(200);
    while (await allWell(page).isVisible()) await allWell(page).click();
    await page.getByRole("button", { name: /^Send at/ }).click();
    const dialog = page.getByRole("dialog", { name: "Sign in" });
    await dialog.getByText("what you have entered is still here").waitFor();
    await expectSound(page, "session ended");
    await shoot(page, "walk-session-ended");
    expect(await checksOf(machineId)).toEqual([]);
    await dialog.getByLabel("Secret").fill(secretOf("R001"));
    await dialog.getByRole("button", { name: "Sign in" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    const checks = await checksOf(machineId);
    expect(checks.length).toBe(1);
    expect(checks[0]?.answers.find(({ itemId }) => itemId === "front-tyre-tread")).toMatchObject({ note: "Something stuck in it" });
    expectQuiet(opened);
    await context.close();
  });

  test("an answer that was lost on the way makes no second check, and the phone learns that the first was taken", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    let lost = 0;
    await page.route("**/v1/daily-checks", async (route) => {
      lost += 1;
      if (lost > 1) return route.continue();
      await route.fetch();
      return route.abort("connectionreset");
    });
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByText("Not sent yet.").waitFor();
    expect((await checksOf(machineId)).length).toBe(1);
    await page.getByRole("button", { name: "Send now" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(machineId)).length).toBe(1);
    expect(lost).toBe(2);
    await context.close();
  });

  test("a phone without room says so, and the check reaches the service all the same", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.evaluate(() => {
      IDBObjectStore.prototype.put = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await allWell(page).click();
    await page.getByText("This phone has no room left").waitFor();
    await expectSound(page, "no room");
    while (await allWell(page).isVisible()) await allWell(page).click();
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByText("no room to keep it. Leave this page open").waitFor();
    await page.unroute("**/v1/daily-checks");
    await page.getByRole("button", { name: "Send now" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(machineId)).length).toBe(1);
    await context.close();
  });

  test("a phone whose clock is wrong sends the right time, and its rider is told", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.clock.setSystemTime(app.house.clock.now().getTime() + 47 * 60_000);
    await page.getByRole("button", { name: "Load the list again" }).click();
    await page.getByText("The clock of this phone is 47 minutes ahead.").waitFor();
    await expectSound(page, "clock ahead");
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(machineId))[0]?.flags).not.toContain("clock-ahead");
    await context.close();
  });

  test("a check that the service does not take is shown with its reason and kept until the rider puts it away", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    // A phone that was asleep since a sheet that the service does not know any more.
    await page.route("**/v1/daily-checks", (route) =>
      route.continue({ postData: { ...route.request().postDataJSON(), sheetVersion: "1999-1" } }),
    );
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByText("The service did not take it").waitFor();
    await expectSound(page, "answer: refused");
    await shoot(page, "walk-refused");
    await page.goto("/#/walk");
    await page.reload();
    await page.getByRole("alert").getByText(`Check of ${mark}`).waitFor();
    await expectSound(page, "choose with a refused check");
    await page.getByRole("button", { name: "Put it away" }).click();
    await page.getByText(`Check of ${mark}`).waitFor({ state: "detached" });
    expect(await checksOf(machineId)).toEqual([]);
    await context.close();
  });

  test("of two tabs one walks, and the other can take over without losing a touch", async () => {
    const opened = await atTheMachine();
    const { page, context, mark } = opened;
    await page.getByRole("link", { name: mark }).click();
    await allWell(page).click();
    await page.getByRole("heading", { name: "Front wheel" }).waitFor();
    const other = await context.newPage();
    await other.goto(`/#/walk/${mark}`);
    await other.getByText(`The walk round ${mark} is open in another tab.`).waitFor();
    await expectSound(other, "open elsewhere");
    await other.getByRole("button", { name: "Go on here" }).click();
    await other.getByRole("heading", { name: "Front wheel" }).waitFor();
    await page.getByText(`The walk round ${mark} is open in another tab.`).waitFor();
    expectQuiet(opened);
    await context.close();
  });

  test("what one rider has not sent is never sent as another, and waits for its own", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByText("Not sent yet.").waitFor();
    await page.unroute("**/v1/daily-checks");
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    const swap = async (to: string) => {
      await page.getByRole("button", { name: /R00\d/ }).click();
      await page.getByRole("button", { name: "Sign out" }).click();
      await page.getByLabel("Staff number").waitFor();
      await page.unroute("**/v1/daily-checks");
      await signInOn(page, to);
    };
    await swap("R002");
    await page.getByText("Something of Person R001 waits on this phone.").waitFor();
    await expectSound(page, "somebody else's phone");
    await shoot(page, "walk-other-person");
    expect(await checksOf(machineId)).toEqual([]);
    await swap("R001");
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    const checks = (await checksOf(machineId)) as unknown as { staffId: string }[];
    expect(checks.map(({ staffId }) => staffId)).toEqual([app.cast.staffId("R001")]);
    await context.close();
  });

  test("where the service knows more than the phone did, the rider is told that the answer has changed", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    const report = reportOf(app, machineId, "front-brake-cable.frayed");
    expect((await (await peopleAtHand(app)("R002")).post("/v1/defects").send(report)).status).toBe(201);
    await page.getByRole("button", { name: "Done" }).click();
    await page.unroute("**/v1/daily-checks");
    await page.reload();
    const dialog = page.getByRole("dialog", { name: "The answer has changed" });
    await dialog.getByRole("heading", { name: "Do not ride" }).waitFor();
    await expectSound(page, "overruled");
    await shoot(page, "walk-overruled");
    await dialog.getByRole("button", { name: "I have read it" }).click();
    await dialog.waitFor({ state: "detached" });
    await page.reload();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expect(await page.getByRole("dialog").count()).toBe(0);
    await context.close();
  });

  test("a photo goes with what it shows", async () => {
    const opened = await atTheMachine();
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await page.getByRole("button", { name: /Front brake and its cable/ }).click();
    await page.getByText("Comes back slowly").click();
    await page.locator("input[type=file]").setInputFiles({ name: "x.txt", mimeType: "image/png", buffer: Buffer.from("no picture") });
    await page.getByText("That is no picture that this phone can read.").waitFor();
    const picture = await sharp({ create: { width: 3000, height: 1500, channels: 3, background: "#963" } })
      .jpeg()
      .toBuffer();
    await page.locator("input[type=file]").setInputFiles({ name: "seen.jpg", mimeType: "image/jpeg", buffer: picture });
    await page.getByText("Photos: 1").waitFor();
    await expectSound(page, "item with a photo");
    await page.getByRole("button", { name: "Done here" }).click();
    while (await allWell(page).isVisible()) await allWell(page).click();
    await page.getByRole("button", { name: /^Send at/ }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(machineId);
    const photoId = check?.answers.find(({ itemId }) => itemId === "front-brake-cable")?.photoIds?.[0];
    expect(photoId).toBeDefined();
    const kept = async () => (await (await peopleAtHand(app)("F001")).get(`/v1/photos/${photoId}`)).status;
    await expect.poll(kept, { timeout: 10_000 }).toBe(200);
    await context.close();
  });

  test("a camera that may not be used, and a code that is of no machine, are said in words", async () => {
    // No camera and no reader of codes is at hand in a test: these two stand in for what the phone has.
    const opened = await atTheMachine();
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
    await page.getByText("That code is of no machine of your depot.").waitFor();
    await page.evaluate((text) => {
      (window as unknown as { code: string }).code = text;
    }, `https://ferrule.example/#/walk/${mark.toLowerCase()}`);
    await page.getByRole("heading", { name: "Saddle and bars" }).waitFor();
    await context.close();
  });

  test("a mark that is typed is found however it is written, and one that nobody carries is said so", async () => {
    const opened = await atTheMachine();
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
    const opened = await atTheMachine(smallest);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.getByRole("button", { name: /^All well at/ }).click();
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
    const machine = (await (await peopleAtHand(app)("F001")).get(`/v1/machines/${machineId}`)).body;
    expect(machine.standing).toBe("grounded");
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expectQuiet(opened);
    await context.close();
  });

  test("turned round for a script that is written from the right, nothing runs out of the page", async () => {
    const opened = await atTheMachine(smallest);
    const { page, context, mark } = opened;
    await page.evaluate(() => {
      document.documentElement.dir = "rtl";
    });
    await expectSound(page, "choose from the right");
    await page.getByRole("link", { name: mark }).click();
    await allWell(page).waitFor();
    await expectSound(page, "station from the right");
    await shoot(page, "walk-from-the-right");
    const drawing = await page.locator(".machine-drawing").boundingBox();
    const items = await page.locator(".items").boundingBox();
    expect(drawing?.x ?? 0).toBeGreaterThan(items?.x ?? 0);
    await context.close();
  });
});
