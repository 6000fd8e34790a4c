// A rider's page hears of what others report: the answer on the screen turns, the list follows, and a phone that hears nothing says since when.
import { expect, test } from "vitest";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { describeInBrowser, expectNoEnglish, expectQuiet, expectSound, shoot, smallest, testPages } from "./browser.ts";
import { openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the rider's page hears of it", () => {
  const { app, as } = testPages();

  const ground = async (machineId: string) =>
    expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "front-brake-cable.frayed")), 201);

  test("an answer that says ride turns to do not ride while it is on the screen, and says since when", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    // The service's clock goes on: somebody else reports it a quarter of an hour later.
    app.context.clock.advance(11 * 60_000);
    await ground(machineId);
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Somebody else grounded it at 05:41, after your check.").waitFor();
    await page.getByText("Front brake and its cable").waitFor();
    expect(await page.getByText("until", { exact: false }).count()).toBe(0);
    expect(await page.getByText("heard nothing").count()).toBe(0);
    await expectSound(page, "an answer that has ended");
    await shoot(page, "walk-ended");
    await page.getByRole("button", { name: "Another machine" }).click();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expect(await page.getByText("You are cleared").count()).toBe(0);
    expectQuiet(opened);
    await context.close();
  });

  test("a list that is open follows by itself, and so does a clearance on it", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    await ground(machineId);
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor({ state: "detached" });
    await context.close();
  });

  test("a minor defect that somebody else reports goes with the answer on the screen", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
    await page.getByRole("heading", { name: "Ride, with these defects" }).waitFor();
    await page.getByText("Minor defect, to be put right by").waitFor();
    await context.close();
  });

  test("without a signal the answer says until when it holds and since when nothing was heard, and asks at once when there is one again", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.route(/\/v1\//, (route) => route.abort("internetdisconnected"));
    await page.clock.fastForward("06:00");
    await page.getByText("This phone has heard nothing from the service since").waitFor();
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText(/^until \d\d:\d\d$/).waitFor();
    await expectSound(page, "an answer without a signal");
    await shoot(page, "walk-not-heard");
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText("So this phone knew it at").first().waitFor();
    await expectSound(page, "an old clearance");
    await shoot(page, "choose-not-heard");
    await ground(machineId);
    await page.unroute(/\/v1\//);
    await page.evaluate(() => dispatchEvent(new Event("online")));
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    await context.close();
  });

  test("in German and on the smallest phone", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app, smallest);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("button", { name: "R001" }).click();
    await page.getByLabel("Deutsch").check();
    await page.getByRole("button", { name: "Schließen" }).click();
    app.context.clock.advance(60_000);
    await ground(machineId);
    await page.getByText("Jemand anderes hat sie um").waitFor();
    await expectNoEnglish(page, "an answer that has ended");
    await expectSound(page, "an answer that has ended, German");
    await shoot(page, "walk-ended-de");
    await context.close();
  });
});
