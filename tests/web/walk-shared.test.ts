// One phone, several riders: what waits on it, whoever made it, counts on it; it leaves in its maker's name, or is passed on in that of
// another who says so. What the service does not take now holds up nothing behind it.
import type { Page, Route } from "playwright-core";
import { expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { secretOf } from "../support/cast.ts";
import { addTestMachine } from "../support/sheets.ts";
import { describeInBrowser, expectNoEnglish, expectQuiet, expectSound, openPage, shoot, signInOn, smallest, testPages } from "./browser.ts";
import { allWell, answerStation, callLost, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("one phone, several riders", () => {
  const { app, as } = testPages();

  const standingOf = async (machineId: string): Promise<string> =>
    (await expectAnswer((await as("F001")).get(`/v1/machines/${machineId}`), 200)).standing;
  const defectsOf = async (machineId: string) =>
    (await expectAnswer((await as("F001")).get("/v1/defects").query({ machineId }), 200)).items as { id: string }[];

  /** Walks round and finds the front brake cable frayed. */
  async function findFrayed(page: Page): Promise<void> {
    const item = page.locator(".item", { hasText: "Front brake bites" });
    await allWell(page).waitFor();
    while (!(await item.isVisible())) await answerStation(page);
    await item.click();
    await page.getByLabel("Cable frayed: a strand is broken").check();
    await page.getByRole("button", { name: "Done here" }).click();
    await walkRound(page);
  }
  /** Signs out although something waits. */
  async function leave(page: Page): Promise<void> {
    await page.getByRole("button", { name: /[RM]00\d/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByRole("button", { name: "Sign out all the same" }).click();
    await page.getByLabel("Staff number").waitFor();
  }
  const lose = (route: Route) => route.abort("internetdisconnected");

  test("an unsent 'do not ride' of one rider counts for the next on the same phone, who can pass it on in a name of their own", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.route("**/v1/daily-checks", lose);
    await page.getByRole("link", { name: mark }).click();
    await findFrayed(page);
    await callLost(page, () => sendWalk(page));
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();

    // Who leaves is told what waits, and that there is a defect among it.
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByText("1 piece of yours has not reached the service.").waitFor();
    await page.getByText("tell the workshop before you go").waitFor();
    await expectSound(page, "leaving with something unsent");
    await shoot(page, "leaving-unsent");
    await page.getByRole("button", { name: "Stay signed in" }).click();
    await leave(page);
    expect(await standingOf(machineId)).toBe("unchecked");

    // The next rider, with a signal: the list is the service's, and what waits here lies over it.
    await page.unroute("**/v1/daily-checks");
    await signInOn(page, "R002");
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    await page.getByText("Person R001 wrote this down on this phone").waitFor();
    await expectSound(page, "somebody else's finding");
    await shoot(page, "walk-other-finding");
    // Whoever walks round it all the same gets no other answer, though the service would give one.
    await page.goto(`/#/walk/${mark}`);
    await page.getByRole("button", { name: "Check it all the same" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, machineId)).map(({ decision }) => decision)).toEqual(["ride"]);
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe("Do not ride");
    await page
      .getByText(/Front brake and its cable/)
      .first()
      .waitFor();
    await expectSound(page, "do not ride by somebody else's finding");
    await shoot(page, "walk-other-finding-answer");

    await page.getByRole("button", { name: "Report it in my name" }).click();
    await expect.poll(() => standingOf(machineId)).toBe("grounded");
    await page.getByRole("button", { name: "Another machine" }).click();
    await page.getByText("Something of Person R001 waits on this phone. Person R002 has reported what it tells.").waitFor();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    const [defect] = await defectsOf(machineId);
    const { course } = await expectAnswer((await as("M001")).get(`/v1/defects/${defect?.id}`), 200);
    expect(course[0]).toMatchObject({ staffId: app.cast.staffId("R002") });
    expect(JSON.stringify(course[0])).toContain("Passed on from what Person R001 wrote down on this phone");

    // Its maker's own check goes in its maker's name, as another sighting of the same defect.
    await page.getByRole("button", { name: /R002/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByLabel("Staff number").waitFor();
    await signInOn(page, "R001");
    await expect.poll(async () => (await checksOf(app, machineId)).length).toBe(2);
    const checks = await checksOf(app, machineId);
    expect(checks.map(({ staffId, decision }) => `${staffId} ${decision}`).sort()).toEqual(
      [`${app.cast.staffId("R001")} do-not-ride`, `${app.cast.staffId("R002")} ride`].sort(),
    );
    expect((await defectsOf(machineId)).length).toBe(1);
    expectQuiet(opened);
    await context.close();
  });

  test("signing out sends first, and asks nothing where all has gone", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    await page.route("**/v1/daily-checks", lose);
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await callLost(page, () => sendWalk(page));
    await page.getByText("Not sent yet.").waitFor();
    await page.unroute("**/v1/daily-checks");
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByLabel("Staff number").waitFor();
    expect((await checksOf(app, machineId)).map(({ decision }) => decision)).toEqual(["ride"]);
    await context.close();
  });

  test("a piece that the service answers with a fault of its own holds up nothing behind it, is not lost, and says why it waits", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    const second = await addTestMachine(app, { mark: `${mark}B` });
    const third = await addTestMachine(app, { mark: `${mark}C` });
    await page.getByRole("button", { name: "Load the list again" }).click();
    await page.getByRole("link", { name: `${mark}C` }).waitFor();
    const ill = async (route: Route) => {
      const about = route.request().postDataJSON().machineId;
      if (about === machineId) {
        const problem = {
          type: "about:blank",
          title: "x",
          status: 500,
          code: "internal",
          detail: "Something went wrong here.",
          instance: "/",
        };
        return route.fulfill({ status: 500, contentType: "application/problem+json", body: JSON.stringify(problem) });
      }
      // What stands before the service answers in its place.
      if (about === second) return route.fulfill({ status: 502, contentType: "text/html", body: "<h1>Bad gateway</h1>" });
      return route.continue();
    };
    await page.route("**/v1/daily-checks", ill);
    for (const one of [mark, `${mark}B`, `${mark}C`]) {
      await page.goto(`/#/walk/${one}`);
      await walkRound(page);
      await sendWalk(page);
      await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
      if (one === mark) await page.getByText("The service has a fault of its own (500).").waitFor();
      if (one === `${mark}B`) await page.getByText("answered in its place (502).").waitFor();
    }
    await page.getByText("Sent. The service has it.").waitFor();
    expect((await checksOf(app, third)).length).toBe(1);
    expect([(await checksOf(app, machineId)).length, (await checksOf(app, second)).length]).toEqual([0, 0]);
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText("2 pieces are not sent yet.").waitFor();
    await page.getByText("The service has a fault of its own (500).").waitFor();
    await page.getByText("answered in its place (502).").waitFor();
    // The list was read anew meanwhile: what this phone said of its own checks still stands on it.
    await page.getByText(`You are cleared to ride ${mark} until`).waitFor();
    await page.getByText(`You are cleared to ride ${mark}C until`).waitFor();
    await expectSound(page, "held up by the service");
    await shoot(page, "walk-held");
    await page.unroute("**/v1/daily-checks");
    await page.getByRole("button", { name: "Send now" }).click();
    await page.getByText(/(piece is|pieces are) not sent yet/).waitFor({ state: "detached" });
    expect([(await checksOf(app, machineId)).length, (await checksOf(app, second)).length]).toEqual([1, 1]);
    expectQuiet(opened);
    await context.close();
  });

  test("in German and on the smallest phone all of it is said whole", async () => {
    const mark = "WWWWWWWWWW12";
    await addTestMachine(app, { mark });
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page, context } = opened;
    const signIn = async (number: string) => {
      await page.getByLabel("Personalnummer").fill(number);
      await page.getByLabel("Kennwort").fill(secretOf(number));
      await page.getByRole("button", { name: "Anmelden" }).click();
    };
    await signIn("R001");
    await page.route("**/v1/daily-checks", (route) => route.fulfill({ status: 503, contentType: "text/plain", body: "" }));
    await page.goto(`/#/walk/${mark}`);
    await page.locator(".item").first().click();
    await page.getByRole("dialog").getByRole("checkbox").first().check();
    await page.getByRole("dialog").locator(".main").click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("an seiner Stelle geantwortet (503)").waitFor();
    await shoot(page, "walk-held-answer-de");
    await expectNoEnglish(page, "an answer that is held up");
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("button", { name: "Abmelden" }).click();
    await page.getByText("1 Stück ist noch nicht beim Dienst.").waitFor();
    await expectNoEnglish(page, "leaving");
    await expectSound(page, "leaving, German");
    await shoot(page, "leaving-unsent-de");
    await page.getByRole("button", { name: "Trotzdem abmelden" }).click();
    await signIn("R002");
    await page.getByText("hat dies um").waitFor();
    await expectNoEnglish(page, "somebody else's finding");
    await expectSound(page, "somebody else's finding, German");
    await shoot(page, "walk-other-finding-de");
    await context.close();
  });
});
