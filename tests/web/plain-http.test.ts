// The pages at an address that is neither https nor the device itself: browsers keep some of their tools from such a page, and it says so.
import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { frugalOptions } from "../support/chromium.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { addressOf, describeInBrowser, desk, expectNoEnglish, expectSound, phone, shoot, signInOn, smallest, watch } from "./browser.ts";
import { checksOf, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("over plain http", () => {
  const { app, as } = testService();
  let browser: Browser;
  let address: string;
  beforeAll(async () => {
    address = addressOf(app).replace("127.0.0.1", "ferrule.test");
    browser = await chromium.launch({
      ...frugalOptions,
      args: [...frugalOptions.args, "--host-resolver-rules=MAP ferrule.test 127.0.0.1"],
    });
  });
  afterAll(() => browser.close());

  const open = async (options: object) => {
    const context = await browser.newContext({ baseURL: address, locale: "en-GB", timezoneId: "Europe/London", ...options });
    await context.clock.install({ time: app.context.clock.now() });
    const faults = watch(context, address);
    const page = await context.newPage();
    await page.goto("/");
    return { context, page, faults };
  };

  test("a rider is told what such an address lacks, walks round, and gets an answer that the service has", async () => {
    const machineId = await addTestMachine(app, { mark: "PLAIN1" });
    const { context, page, faults } = await open(phone);
    expect(await page.evaluate(() => isSecureContext)).toBe(false);
    await page.getByText("need an address that begins with https").waitFor();
    await expectSound(page, "sign in over plain http");
    await shoot(page, "plain-http-sign-in");
    await signInOn(page, "R001");
    await page.getByText("need an address that begins with https").waitFor();
    await page.getByRole("link", { name: "PLAIN1" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    expect((await checksOf(app, machineId)).map(({ decision }) => decision)).toEqual(["ride"]);
    // A defect on the way has ids of its own.
    await page.goto("/#/walk/PLAIN1/report");
    await page.locator("summary").first().click();
    await page.locator("details[open] button").first().click();
    await page.getByRole("dialog").getByRole("checkbox").first().check();
    await page.getByRole("button", { name: "Done here" }).click();
    await page.getByRole("button", { name: "Send", exact: true }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    // The browser says that it does without a header which it takes over https only.
    expect(faults.filter((fault) => !fault.includes("Cross-Origin-Opener-Policy"))).toEqual([]);
    await context.close();
  });

  test("on the smallest phone and in German the sentence is whole", async () => {
    const { context, page } = await open({ ...smallest, locale: "de-DE" });
    await page.getByText("die mit https beginnt").waitFor();
    await expectNoEnglish(page, "sign in over plain http");
    await expectSound(page, "sign in over plain http, German");
    await shoot(page, "plain-http-sign-in-de");
    await context.close();
  });

  test("a proof that this browser cannot compute is said to need https, and nothing is called broken", async () => {
    const { context, page } = await open(desk);
    // A checkpoint is taken when a proof is asked for.
    const machineId = await addTestMachine(app, { mark: "PLAIN2" });
    const auditor = await as("A001");
    const { id } = (await auditor.get(`/v1/machines/${machineId}/history`)).body.items[0];
    expect((await auditor.get(`/v1/records/${id}/proof`)).status).toBe(200);
    await signInOn(page, "A001");
    await page.goto("/#/audit");
    await page.getByText("A browser computes a proof only on a page that came over https.").waitFor();
    expect(await page.getByText("Something went wrong").count()).toBe(0);
    await context.close();
  });
});
