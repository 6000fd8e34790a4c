// What stands on the phone when time has passed, or when the service says something else than the phone did: never that a machine may be
// ridden which may not.
import type { Locator } from "playwright-core";
import { expect, test } from "vitest";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { describeInBrowser, expectQuiet, expectSound, shoot, testPages } from "./browser.ts";
import { allWell, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

/**
 * A touch whose finger bounces: two, a twentieth of a second apart, at one place of the screen. By the page's own timers, so that beside busy
 * processes the second one is never too late to be a bounce.
 */
async function touchBouncing(button: Locator): Promise<void> {
  await button.click({ trial: true });
  await button.evaluate(async (shown) => {
    const { left, top, width, height } = shown.getBoundingClientRect();
    const touch = () =>
      document
        .elementFromPoint(left + width / 2, top + height / 2)
        ?.closest("button")
        ?.click();
    touch();
    await new Promise((done) => setTimeout(done, 50));
    touch();
  });
}

describeInBrowser("the rider's phone, later", () => {
  const { app, as } = testPages();

  const ground = async (machineId: string) =>
    expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "front-brake-cable.frayed")), 201);

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
    const end = page.getByText("Round it and back");
    /** Where the walk is; the item of the day is asked by itself, at the beginning of its station or after the rest of it. */
    const place = async () => {
      if ((await end.count()) > 0) return { station: stations + 1, alone: false };
      const [, number = ""] =
        /Station (\d+) of/.exec(
          (await page
            .getByText(/^Station \d+ of/)
            .first()
            .textContent()) ?? "",
        ) ?? [];
      return { station: Number(number), alone: (await page.locator(".day-item").count()) > 0 };
    };
    for (let here = await place(); here.station <= stations; ) {
      if (here.alone) await page.getByRole("button", { name: "It is well" }).click();
      else await touchBouncing(allWell(page));
      await expect.poll(place).not.toEqual(here);
      const before = here;
      here = await place();
      expect(here.station - before.station).toBeLessThanOrEqual(1);
    }
    await touchBouncing(page.getByRole("button", { name: "Send without the reading" }));
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId)).length).toBe(1);
    await context.close();
  });
});
