// No signal: the pages open, the phone judges, the check waits, and reaches the service once, as soon as there is a signal again.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type BrowserContext, chromium } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { frugalOptions } from "../support/chromium.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { addressOf, describeInBrowser, expectSound, phone, shoot, signInOn, watch } from "./browser.ts";
import { answerStation, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("without a signal", () => {
  // The phone's own clock is used here: its time is the service's.
  const { app, as } = testService(() => openTestContext(new Date().toISOString()));
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "ferrule-phone-"));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  const switchOn = (): Promise<BrowserContext> =>
    chromium.launchPersistentContext(folder, { ...frugalOptions, ...phone, baseURL: addressOf(app), locale: "en-GB" });
  const checksOf = async (machineId: string) =>
    (await (await as("F001")).get("/v1/daily-checks").query({ machineId })).body.items as { id: string; decision: string }[];

  test("a check is made, judged, kept over a restart of the phone, and sent once", async () => {
    const machineId = await addTestMachine(app, { mark: "OFF1" });
    let context = await switchOn();
    let page = await context.newPage();
    await page.goto("/");
    await signInOn(page, "R001");
    await page.getByRole("link", { name: "OFF1" }).waitFor();
    await page.evaluate(() => navigator.serviceWorker.ready);

    await context.setOffline(true);
    await page.reload();
    await page.getByText("No signal. You can check a machine all the same").waitFor();
    await expectSound(page, "choose without a signal");
    await shoot(page, "offline-choose");
    await page.getByRole("link", { name: "OFF1" }).click();
    // The phone goes dark after three stations, and goes on at the fourth.
    for (let station = 0; station < 3; station += 1) await answerStation(page);
    const fourth = await page.getByRole("heading", { level: 1 }).textContent();
    await page.reload();
    await page.getByRole("heading", { name: fourth ?? "" }).waitFor();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Not sent yet. It is kept on this phone").waitFor();
    await expectSound(page, "answer without a signal");
    await shoot(page, "offline-answer");

    await context.close();
    context = await switchOn();
    const faults = watch(context, addressOf(app));
    await context.setOffline(true);
    page = await context.newPage();
    await page.goto("/");
    await page.getByText("1 piece is not sent yet.").waitFor();
    await page.getByText("You are cleared to ride OFF1").waitFor();
    await expectSound(page, "unsent");
    await shoot(page, "offline-unsent");
    expect(await checksOf(machineId)).toEqual([]);

    // Two tabs hear of the signal at the same moment.
    const other = await context.newPage();
    await other.goto("/");
    await other.getByText("1 piece is not sent yet.").waitFor();
    await context.setOffline(false);
    for (const tab of [page, other]) await tab.getByText("not sent yet").waitFor({ state: "detached" });
    const checks = await checksOf(machineId);
    expect(checks.map(({ decision }) => decision)).toEqual(["ride"]);
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a phone that never had a signal here says what it needs", async () => {
    const context = await switchOn();
    const page = await context.newPage();
    await page.goto("/");
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.route("**/v1/field-kit**", (route) => route.abort("internetdisconnected"));
    await signInOn(page, "R002");
    await page.getByText("this phone has no list of machines yet").waitFor();
    await expectSound(page, "first visit without a signal");
    await context.close();
  });
});
