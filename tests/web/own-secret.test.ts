// Somebody with a one-time code chooses a secret of their own before anything else; everybody changes theirs where they sign out.
import { beforeAll, expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { codeOf, secretOf } from "../support/cast.ts";
import {
  describeInBrowser,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPage,
  openPageAs,
  phone,
  shoot,
  signInOn,
  smallest,
  testPages,
} from "./browser.ts";
import { callLost, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("a secret of one's own", () => {
  const { app, as } = testPages();
  beforeAll(async () => {
    for (const staffNumber of ["R401", "R402"]) {
      const body = {
        staffNumber,
        name: `Person ${staffNumber}`,
        role: "rider",
        depotIds: [app.cast.homeDepotId],
        secret: codeOf(staffNumber),
      };
      await expectAnswer((await as("F001")).post("/v1/staff").send(body), 201);
    }
  });

  test("is chosen right after the code, by keyboard alone, at 320 px: the page says why, the rule stands before anything is typed, and the areas open after", async () => {
    const opened = await openPage(app, smallest);
    const { page } = opened;
    await page.getByLabel("Staff number").fill("R401");
    await page.getByLabel("Secret").fill(codeOf("R401"));
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Choose your own secret" }).waitFor();
    expect(await page.getByRole("navigation").count()).toBe(0);
    await page.getByText("Somebody else set the code that you signed in with").waitFor();
    await page.getByText("At least 8 characters").waitFor();
    await page.getByText("A one-time code was set by Person F001, F001").waitFor();
    await expectSound(page, "choosing a secret");
    await shoot(page, "own-secret");
    const asked = await page.locator("form input").evaluateAll((inputs) => inputs.map((input) => input.getAttribute("autocomplete")));
    expect(asked).toEqual(["username", "new-password", null]);
    // The code is not asked for twice, and the cursor stands in the one field that there is.
    await page.keyboard.type(codeOf("R401").toUpperCase());
    await page.keyboard.press("Enter");
    await page.getByRole("alert").getByText("the one you have now").waitFor();
    await expectSound(page, "a secret refused");
    await shoot(page, "own-secret-refused");
    await page.getByLabel("Your new secret").fill("");
    await page.getByLabel("Your new secret").focus();
    await page.keyboard.type(secretOf("R401"));
    await page.keyboard.press("Enter");
    await page.getByRole("navigation").waitFor();
    await expectAnswer(app.anyone.post("/v1/sign-in").send({ staffNumber: "R401", secret: secretOf("R401") }), 200);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is asked for again after a reload, with the code this time; signing out is the only other way on, and all of it is said in German too", async () => {
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page } = opened;
    await page.getByLabel("Personalnummer").fill("R402");
    await page.getByLabel("Kennwort").fill(codeOf("R402"));
    await page.getByRole("button", { name: "Anmelden" }).click();
    await page.getByRole("heading", { name: "Ein eigenes Kennwort wählen" }).waitFor();
    await page.reload();
    await page.getByLabel("Der Code, den Sie bekommen haben").fill("not-the-code");
    await page.getByText("Was mit Ihrem Kennwort geschah").waitFor();
    await expectSound(page, "choosing a secret in German");
    await expectNoEnglish(page, "choosing a secret");
    await shoot(page, "own-secret-german");
    await page.getByLabel("Ihr neues Kennwort").fill(secretOf("R402"));
    await page.getByRole("button", { name: "Dieses Kennwort behalten" }).click();
    await page.getByRole("alert").getByText("Das bisherige Kennwort stimmt nicht").waitFor();
    await page.getByRole("button", { name: "Abmelden" }).click();
    await page.getByRole("button", { name: "Anmelden" }).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is changed where one signs out, with what happened to it so far; a wrong present one is said in words", async () => {
    const opened = await openPage(app, phone);
    const { page } = opened;
    const elsewhere = await app.signIn("R002");
    await signInOn(page, "R002");
    await page.getByRole("button", { name: /R002/ }).click();
    await page.getByRole("button", { name: "Change my secret" }).click();
    const dialog = page.getByRole("dialog", { name: "Change my secret" });
    await dialog.getByLabel("Your present secret").fill("not it at all");
    await dialog.getByLabel("Your new secret").fill("four words in a row");
    await expectSound(page, "changing a secret");
    await shoot(page, "own-secret-change");
    await dialog.getByRole("button", { name: "Keep this secret" }).click();
    await dialog.getByRole("alert").getByText("Check your present secret").waitFor();
    await dialog.getByLabel("Your present secret").fill(secretOf("R002"));
    await dialog.getByRole("button", { name: "Keep this secret" }).click();
    await dialog.getByRole("status").getByText("Your other sessions have ended: 1.").waitFor();
    await dialog.getByRole("button", { name: "Close" }).click();
    await page.getByRole("navigation").waitFor();
    expect((await elsewhere.get("/v1/me")).body.code).toBe("session-ended");
    await expectAnswer(app.anyone.post("/v1/sign-in").send({ staffNumber: "R002", secret: "four words in a row" }), 200);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is asked for over the page that is open, where a manager reset it in the middle of something: what was entered is still there", async () => {
    const opened = await openPageAs(app, "R001", phone);
    const { page } = opened;
    const reset = await expectAnswer((await app.signIn("F001")).post(`/v1/staff/${app.cast.staffId("R001")}/secret-reset`).send(), 200);
    await page.getByRole("navigation").evaluate((node) => node.setAttribute("data-kept", "yes"));
    // The page hears that its session is over, and asks at once.
    await page.getByRole("dialog", { name: "Sign in" }).waitFor();
    await page.getByRole("dialog", { name: "Sign in" }).getByLabel("Secret").fill(reset.oneTimeCode);
    await page.getByRole("dialog", { name: "Sign in" }).getByRole("button", { name: "Sign in" }).click();
    const dialog = page.getByRole("dialog", { name: "Choose your own secret" });
    await dialog.getByLabel("Your new secret").fill(secretOf("R001"));
    await dialog.getByRole("button", { name: "Keep this secret" }).click();
    await dialog.waitFor({ state: "detached" });
    expect(await page.locator("nav[data-kept=yes]").count()).toBe(1);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is asked for once: a refusal that was on its way when somebody signed in again does not end the session they began", async () => {
    const opened = await openPageAs(app, "R001", phone);
    const { page } = opened;
    const reset = await expectAnswer((await app.signIn("F001")).post(`/v1/staff/${app.cast.staffId("R001")}/secret-reset`).send(), 200);
    const dialog = page.getByRole("dialog", { name: "Sign in" });
    await dialog.waitFor();
    // The page goes on asking whether it may listen again; one such call has been refused, and its answer comes late.
    const arrive = await new Promise<() => void>((refused) => {
      void page.route("**/v1/session/renewal", async (route) => {
        const response = await route.fetch();
        await new Promise<void>((arrived) => refused(arrived));
        await route.fulfill({ response });
      });
    });
    await dialog.getByLabel("Secret").fill(reset.oneTimeCode);
    await dialog.getByRole("button", { name: "Sign in" }).click();
    const choice = page.getByRole("dialog", { name: "Choose your own secret" });
    await choice.getByLabel("Your new secret").fill(secretOf("R001"));
    const again = page.waitForResponse("**/v1/me");
    arrive();
    await again;
    expect(await dialog.count()).toBe(0);
    await choice.getByRole("button", { name: "Keep this secret" }).click();
    await choice.waitFor({ state: "detached" });
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is chosen before what waits on a phone is sent: a code sends nothing, and nothing is lost by it", async () => {
    const opened = await openAtTheMachine(app);
    const { page, machineId, mark } = opened;
    await page.getByRole("link", { name: mark, exact: false }).first().click();
    await walkRound(page);
    await page.route("**/v1/daily-checks", (route) => route.abort());
    await callLost(page, () => sendWalk(page));
    const reset = await expectAnswer((await app.signIn("F001")).post(`/v1/staff/${app.cast.staffId("R001")}/secret-reset`), 200);
    await page.unroute("**/v1/daily-checks");
    const signal = () => page.evaluate(() => dispatchEvent(new Event("online")));
    await signal();
    const dialog = page.getByRole("dialog", { name: "Sign in" });
    await dialog.getByLabel("Secret").fill(reset.oneTimeCode);
    await dialog.getByRole("button", { name: "Sign in" }).click();
    const choice = page.getByRole("dialog", { name: "Choose your own secret" });
    await choice.getByLabel("Your new secret").fill(secretOf("R001"));
    await signal();
    const checks = async () => (await (await app.signIn("F001")).get("/v1/daily-checks").query({ machineId })).body.items;
    expect(await checks()).toEqual([]);
    await choice.getByRole("button", { name: "Keep this secret" }).click();
    await expect.poll(checks).toMatchObject([{ decision: "ride", staffId: app.cast.staffId("R001") }]);
    expectQuiet(opened);
    await opened.context.close();
  });
});
