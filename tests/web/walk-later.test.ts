// What stands on the phone when time has passed, or when the service says something else than the phone did: never that a machine may be
// ridden which may not.
import { afterAll, beforeAll, expect, test } from "vitest";
import { expectAnswer, peopleAtHand, reportOf } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { closeBrowserAfterwards, describeInBrowser, expectQuiet, expectSound, shoot } from "./browser.ts";
import { allWell, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the rider's phone, later", () => {
  let app: TestApp;
  beforeAll(async () => {
    app = await openTestApp();
  });
  afterAll(() => app.close());
  closeBrowserAfterwards();

  const ground = async (machineId: string) =>
    expectAnswer((await peopleAtHand(app)("R002")).post("/v1/defects").send(reportOf(app, machineId, "front-brake-cable.frayed")), 201);

  test("a check that the service does not take clears nobody: the answer says do not ride, and so does the list", async () => {
    const { page, context, mark } = await openAtTheMachine(app);
    await page.route("**/v1/daily-checks", (route) =>
      route.continue({ postData: { ...route.request().postDataJSON(), sheetVersion: "1999-1" } }),
    );
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("This check does not count.").waitFor();
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe("Do not ride");
    await expectSound(page, "answer: not taken");
    await shoot(page, "walk-not-taken");
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByRole("button", { name: "Put it away" }).waitFor();
    await page.getByRole("link", { name: mark }).getByText("Unchecked").waitFor();
    expect(await page.getByText("You are cleared").count()).toBe(0);
    await context.close();
  });

  test("where the service knows more, the answer that is open turns, and the list says so too", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    // A phone that hears nothing by itself.
    await page.route(/readiness\/events|field-kit/, (route) => route.abort("internetdisconnected"));
    await ground(machineId);
    await sendWalk(page);
    await page.getByText("The service knows more than this phone did").waitFor();
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe("Do not ride");
    await page.unroute(/readiness\/events|field-kit/);
    await page.evaluate(() => dispatchEvent(new Event("online")));
    await page.getByRole("button", { name: "Another machine" }).click();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expect(await page.getByText("You are cleared").count()).toBe(0);
    await context.close();
  });

  test("an answer that was left on the screen runs out with its time", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark } = opened;
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    // Without a signal: with one, the time of the service would count.
    await page.route(/\/v1\//, (route) => route.abort("internetdisconnected"));
    await page.clock.fastForward("24:00:00");
    await page.getByRole("heading", { name: "This answer has run out" }).waitFor();
    expect(await page.getByRole("heading", { name: "Ride", exact: true }).count()).toBe(0);
    await expectSound(page, "answer that has run out");
    await shoot(page, "walk-run-out");
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByRole("link", { name: mark }).waitFor();
    expect(await page.getByText("You are cleared").count()).toBe(0);
    expectQuiet(opened);
    await context.close();
  });

  test("a phone that comes out of the pocket shows what is so now", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).getByText("Unchecked").waitFor();
    await ground(machineId);
    await page.clock.fastForward("05:00");
    await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    await context.close();
  });

  test("a touch that bounces answers one station, sends nothing by itself and puts no answer away", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).click();
    const stations = Number(await page.locator("progress").first().getAttribute("max"));
    for (let step = 1; step <= stations; step += 1) {
      if ((await page.locator(".day-item").count()) === 0) await allWell(page).dblclick();
      const next = page.getByText(step < stations ? `Station ${step + 1} of ${stations}` : "Round it and back");
      await page.locator(".day-item").or(next).first().waitFor();
      if ((await page.locator(".day-item").count()) > 0) await page.getByRole("button", { name: "It is well" }).click();
      await next.waitFor();
    }
    await page.getByRole("button", { name: "Send without the reading" }).dblclick();
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId)).length).toBe(1);
    await context.close();
  });
});
