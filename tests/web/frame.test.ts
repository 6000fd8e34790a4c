// What stands around every page: signing in, areas by role, look and language, the way back in when a session has ended.
import { afterAll, beforeAll, expect, test } from "vitest";
import { openTestApp, type TestApp } from "../support/app.ts";
import {
  closeBrowserAfterwards,
  describeInBrowser,
  desk,
  expectQuiet,
  expectSound,
  openPage,
  phone,
  shoot,
  signInOn,
  smallest,
} from "./browser.ts";

describeInBrowser("the frame of the pages", () => {
  let app: TestApp;
  beforeAll(async () => {
    app = await openTestApp();
  });
  afterAll(() => app.close());
  closeBrowserAfterwards();

  test("a stranger sees the sign-in, and a wrong secret is said in words", async () => {
    const opened = await openPage(app, smallest);
    const { page } = opened;
    await expectSound(page, "sign-in");
    await shoot(page, "sign-in");
    await page.getByLabel("Staff number").fill("r001");
    await page.getByLabel("Secret").fill("not it");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("alert").getByText("Check the staff number").waitFor();
    await expectSound(page, "sign-in refused");
    expectQuiet(opened);
    await opened.context.close();
  });

  test("each role sees its own areas, and begins in its own", async () => {
    const areas = {
      R001: ["Walk round"],
      M001: ["Walk round", "Morning board", "Bench"],
      F001: ["Morning board", "Bench", "Records"],
      A001: ["Morning board", "Bench", "Records"],
    };
    const first = { R001: "Walk round", M001: "Bench", F001: "Morning board", A001: "Records" };
    for (const [who, names] of Object.entries(areas)) {
      const opened = await openPage(app, desk);
      await signInOn(opened.page, who);
      const links = opened.page.getByRole("navigation").getByRole("link");
      expect(await links.allTextContents()).toEqual(names);
      expect(await opened.page.locator("[aria-current=page]").textContent()).toBe(first[who as keyof typeof first]);
      expectQuiet(opened);
      await opened.context.close();
    }
  });

  test("no script of the page can read a token, and signing out ends the session at the service too", async () => {
    const opened = await openPage(app, phone);
    const { page, context } = opened;
    await signInOn(page, "R001");
    expect(await page.evaluate(() => document.cookie)).toBe("");
    const kept = await page.evaluate(() => JSON.stringify(Object.values(localStorage)));
    expect(kept).not.toMatch(/eyJ/);
    const cookies = await context.cookies();
    expect(cookies.map(({ name, httpOnly, sameSite }) => `${name} ${httpOnly} ${sameSite}`).sort()).toEqual([
      "ferrule-access true Strict",
      "ferrule-refresh true Strict",
    ]);
    await page.getByRole("button", { name: /R001/ }).click();
    await expectSound(page, "settings");
    await shoot(page, "settings");
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByLabel("Staff number").waitFor();
    expect(await context.cookies()).toEqual([]);
    const access = cookies.find(({ name }) => name === "ferrule-access")?.value ?? "";
    expect((await app.clientWith(access).get("/v1/me")).body.code).toBe("session-ended");
    expectQuiet(opened);
    await context.close();
  });
});
