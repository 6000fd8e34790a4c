// What goes wrong around a rider's check: nothing of it is lost, and the rider is told in words.
import { expect, test } from "vitest";
import { expectAnswer, peopleAtHand, reportOf } from "../support/acts.ts";
import { openTestApp } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { addTestMachine } from "../support/sheets.ts";
import { describeInBrowser, expectQuiet, expectSound, openPageAs, phone, shoot, signInOn, testPages } from "./browser.ts";
import { answerStation, callLost, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the rider's phone when something is wrong", () => {
  const { app, as } = testPages();

  test("a session that ends in the middle of a check loses nothing of it", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await answerStation(page);
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    await page.getByLabel("In your own words").fill("Something stuck in it");
    await page.getByRole("button", { name: "Done here" }).click();
    const access = (await context.cookies()).find(({ name }) => name === "ferrule-access")?.value ?? "";
    expect((await app.clientWith(access).post("/v1/sign-out")).status).toBe(200);
    await walkRound(page);
    await sendWalk(page);
    const dialog = page.getByRole("dialog", { name: "Sign in" });
    await dialog.getByText("what you have entered is still here").waitFor();
    await expectSound(page, "session ended");
    await shoot(page, "walk-session-ended");
    expect(await checksOf(app, machineId)).toEqual([]);
    await dialog.getByLabel("Secret").fill(secretOf("R001"));
    await dialog.getByRole("button", { name: "Sign in" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    const checks = await checksOf(app, machineId);
    expect(checks.length).toBe(1);
    expect(checks[0]?.answers.find(({ itemId }) => itemId === "front-tyre-tread")).toMatchObject({ note: "Something stuck in it" });
    expectQuiet(opened);
    await context.close();
  });

  test("an answer that was lost on the way makes no second check, and the phone learns that the first was taken", async () => {
    const opened = await openAtTheMachine(app);
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
    await callLost(page, () => sendWalk(page));
    await page.getByText("Not sent yet.").waitFor();
    expect((await checksOf(app, machineId)).length).toBe(1);
    await page.getByRole("button", { name: "Send now" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId)).length).toBe(1);
    expect(lost).toBe(2);
    await context.close();
  });

  test("a phone without room says so, and the check reaches the service all the same", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.evaluate(() => {
      IDBObjectStore.prototype.put = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await answerStation(page);
    await page.getByText("This phone has no room left").waitFor();
    await expectSound(page, "no room");
    await walkRound(page);
    await callLost(page, () => sendWalk(page));
    await page.getByText("no room to keep it. Leave this page open").waitFor();
    await page.unroute("**/v1/daily-checks");
    await page.getByRole("button", { name: "Send now" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId)).length).toBe(1);
    await context.close();
  });

  test("a phone whose clock is wrong sends the right time, and its rider is told", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.clock.setSystemTime(app.context.clock.now().getTime() + 47 * 60_000);
    await page.getByRole("button", { name: "Load the list again" }).click();
    await page.getByText("The clock of this phone is 47 minutes ahead.").waitFor();
    await expectSound(page, "clock ahead");
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId))[0]?.flags).not.toContain("clock-ahead");
    await context.close();
  });

  test("a check that the service does not take is shown with its reason and kept until the rider puts it away", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    // A phone that was asleep since the time of a sheet that the service no longer knows.
    await page.route("**/v1/daily-checks", (route) =>
      route.continue({ postData: { ...route.request().postDataJSON(), sheetVersion: "1999-1" } }),
    );
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("This check does not count. It does not answer this machine's sheet as it is now").waitFor();
    await page.goto("/#/walk");
    await page.reload();
    await page.getByRole("alert").getByText(`Check of ${mark}`).waitFor();
    await expectSound(page, "choose with a refused check");
    await page.getByRole("button", { name: "Put it away" }).click();
    await page.getByText(`Check of ${mark}`).waitFor({ state: "detached" });
    expect(await checksOf(app, machineId)).toEqual([]);
    await context.close();
  });

  test("of two tabs one walks, and the other can take over without losing a touch", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark } = opened;
    await page.getByRole("link", { name: mark }).click();
    await answerStation(page);
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
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await callLost(page, () => sendWalk(page));
    await page.getByText("Not sent yet.").waitFor();
    const swap = async (to: string) => {
      await page.getByRole("button", { name: /R00\d/ }).click();
      await page.getByRole("button", { name: "Sign out" }).click();
      const allTheSame = page.getByRole("button", { name: "Sign out all the same" });
      await allTheSame.or(page.getByLabel("Staff number")).waitFor();
      if (await allTheSame.isVisible()) await allTheSame.click();
      await page.getByLabel("Staff number").waitFor();
      await page.unroute("**/v1/daily-checks");
      await signInOn(page, to);
    };
    await swap("R002");
    await page.getByText("Something of Person R001 waits on this phone.").waitFor();
    await expectSound(page, "somebody else's phone");
    await shoot(page, "walk-other-person");
    expect(await checksOf(app, machineId)).toEqual([]);
    await swap("R001");
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    const checks = await checksOf(app, machineId);
    expect(checks.map(({ staffId }) => staffId)).toEqual([app.cast.staffId("R001")]);
    await context.close();
  });

  test("where the service knows more than the phone did, the rider is told that the answer has changed", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.route("**/v1/daily-checks", (route) => route.abort("internetdisconnected"));
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    const report = reportOf(app, machineId, "front-brake-cable.frayed");
    expect((await (await as("R002")).post("/v1/defects").send(report)).status).toBe(201);
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

  test("somebody of several depots takes along a depot of their choice, and is told where all would be too many", async () => {
    const fleet = await openTestApp();
    const manager = await peopleAtHand(fleet)("F001");
    await addTestMachine(fleet, { mark: "ZZNEAR" });
    const rows = Array.from({ length: 410 }, (_, index) => `FAR${1000 + index},Test model,Far,100,2026-01-05`);
    await expectAnswer(
      manager
        .post("/v1/machines/import")
        .type("text/csv")
        .send(["registrationMark,model,depot,odometerKm,inServiceFrom", ...rows].join("\n")),
      201,
    );
    const opened = await openPageAs(fleet, "M001", phone);
    const { page } = opened;
    await page.getByRole("link", { name: "Walk round" }).click();
    await page.getByText("The first 400 machines of all your depots are here.").waitFor();
    await expectSound(page, "too many machines to take along");
    await page.getByLabel("Depot").selectOption({ label: "Home" });
    await page.getByRole("link", { name: "ZZNEAR" }).waitFor();
    expect(await page.getByText("The first 400 machines").count()).toBe(0);
    await page.reload();
    await page.getByRole("link", { name: "ZZNEAR" }).click();
    await page.getByRole("heading", { name: "Saddle and bars" }).waitFor();
    // The next one on the same phone has another depot: the choice is not theirs.
    await page.goto("/#/walk");
    await page.getByRole("button", { name: /M001/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await signInOn(page, "R002");
    await page.getByLabel("Registration mark").waitFor();
    expect(await page.getByRole("alert").count()).toBe(0);
    expectQuiet(opened);
    await opened.context.close();
    await fleet.close();
  });
});
