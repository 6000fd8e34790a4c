// What stands around every page: signing in, areas by role, look and language, the way back in when a session has ended.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { secretOf } from "../support/cast.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  describeInBrowser,
  desk,
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
import { sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the frame of the pages", () => {
  const { app, as } = testPages();

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

  test("what axe would find is found: a button without a name, text too pale in one theme alone, a page wider than its window", async () => {
    const { page, context } = await openPage(app, phone);
    await page.getByRole("button", { name: "Sign in" }).waitFor();
    const withElement = async (tag: string, style: object, found: string) => {
      await page.evaluate(
        ([name, look]) => {
          const element = document.createElement(name);
          element.textContent = name === "p" ? "text" : "";
          Object.assign(element.style, look);
          document.querySelector("main")?.append(element);
        },
        [tag, style] as const,
      );
      await expect(expectSound(page, found)).rejects.toThrow(found);
      await page.evaluate(() => document.querySelector("main > :last-child")?.remove());
    };
    await withElement("button", {}, "light: expected 'button-name");
    await withElement("p", { color: "#333" }, "dark: expected 'color-contrast");
    await withElement("p", { inlineSize: "200vw" }, "wider than its window");
    await expectSound(page, "sign-in");
    await context.close();
  });

  test("each role sees its own areas, and begins in its own", async () => {
    const areas = {
      R001: ["Walk round"],
      M001: ["Walk round", "Morning board", "Bench"],
      F001: ["Morning board", "Bench", "Records", "Costs"],
      A001: ["Morning board", "Bench", "Records", "Costs"],
    };
    const first = { R001: "Walk round", M001: "Bench", F001: "Morning board", A001: "Records" };
    for (const [who, names] of Object.entries(areas)) {
      const opened = await openPageAs(app, who);
      const links = opened.page.getByRole("navigation").getByRole("link");
      expect(await links.allTextContents()).toEqual(names);
      expect(await opened.page.locator("[aria-current=page]").textContent()).toBe(first[who as keyof typeof first]);
      expectQuiet(opened);
      await opened.context.close();
    }
  });

  test("an address that is asked for while the page is being drawn is shown", async () => {
    const opened = await openPage(app, desk);
    await opened.page.evaluate(() => {
      // As early as anything can ask: the page stands in the document, and nothing that it does after drawing has run yet.
      new MutationObserver((_, observer) => {
        if (document.querySelector("nav") === null) return;
        observer.disconnect();
        location.hash = "#/board";
      }).observe(document.body, { childList: true, subtree: true });
    });
    await signInOn(opened.page, "M001");
    await opened.page.locator("[aria-current=page]").getByText("Morning board").waitFor();
    await opened.context.close();
  });

  test("no script of the page can read a token, and signing out ends the session at the service too", async () => {
    const opened = await openPageAs(app, "R001", phone);
    const { page, context } = opened;
    expect(await page.evaluate(() => document.cookie)).toBe("");
    const kept = await page.evaluate(() => JSON.stringify(Object.values(localStorage)));
    expect(kept).not.toMatch(/eyJ/);
    const cookies = await context.cookies();
    expect(cookies.map(({ name, httpOnly, sameSite }) => `${name} ${httpOnly} ${sameSite}`).sort()).toEqual([
      "ferrule-access true Strict",
      "ferrule-device true Strict",
      "ferrule-refresh true Strict",
    ]);
    await page.getByRole("button", { name: /R001/ }).click();
    await expectSound(page, "settings");
    await shoot(page, "settings");
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByLabel("Staff number").waitFor();
    // What is left knows the device again when secrets are guessed elsewhere, and opens nothing.
    expect((await context.cookies()).map(({ name }) => name)).toEqual(["ferrule-device"]);
    const access = cookies.find(({ name }) => name === "ferrule-access")?.value ?? "";
    expect((await app.clientWith(access).get("/v1/me")).body.code).toBe("session-ended");
    expectQuiet(opened);
    await context.close();
  });

  test("a device that prefers German speaks it from the beginning, and the choice is kept", async () => {
    const mark = "DEUTSCH";
    await addTestMachine(app, { mark });
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page } = opened;
    await page.getByRole("button", { name: "Anmelden" }).waitFor();
    expect(await page.evaluate(() => document.documentElement.lang)).toBe("de");
    await expectSound(page, "sign-in in German");
    await page.getByLabel("Personalnummer").fill("R001");
    await page.getByLabel("Kennwort").fill(secretOf("R001"));
    await page.getByRole("button", { name: "Anmelden" }).click();
    await page.getByRole("link", { name: mark }).click();
    await page.getByRole("heading", { name: "Sattel und Lenker" }).waitFor();
    await expectSound(page, "station in German");
    await expectNoEnglish(page, "station");
    await shoot(page, "walk-station-german");
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Fahren", exact: true }).waitFor();
    await expectSound(page, "answer in German");
    await expectNoEnglish(page, "answer");
    await page.getByRole("button", { name: "Fertig" }).click();
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("radio", { name: "English" }).check();
    await page.getByRole("button", { name: "Sign out" }).waitFor();
    await page.reload();
    await page.getByRole("heading", { name: "Which machine?" }).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("the desk pages hold in German too, and say nothing in English", async () => {
    const machineId = await addTestMachine(app, { mark: "SCHREIB" });
    const rider = await as("R001");
    const report = reportOf(app, machineId, "front-brake-cable.frayed");
    const { defect } = await expectAnswer(rider.post("/v1/defects").send(report), 201);
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page } = opened;
    await page.getByLabel("Personalnummer").fill("F001");
    await page.getByLabel("Kennwort").fill(secretOf("F001"));
    await page.getByRole("button", { name: "Anmelden" }).click();
    const views = [
      ["board", "Heute Morgen"],
      ["bench", "Was in der Werkstatt wartet"],
      [`bench/defect/${defect.id}`, "Vorderradbremse mit Zug"],
      [`bench/machine/${machineId}`, "SCHREIB"],
      ["audit", "Einträge eines Monats"],
    ] as const;
    for (const [view, heading] of views) {
      await page.goto(`/#/${view}`);
      await page.getByRole("heading", { name: heading }).first().waitFor();
      await page.waitForLoadState("networkidle");
      await page.evaluate(() => {
        for (const one of document.querySelectorAll("details")) one.open = true;
      });
      await expectNoEnglish(page, view);
      await expectSound(page, `${view} in German`);
      if (view === "board") await shoot(page, "board-german");
    }
    await page.getByRole("button", { name: "Die Einträge lesen" }).click();
    await page.getByText(/^\d+ Einträge\.$/).waitFor();
    await expectNoEnglish(page, "records in German");
    await page.goto(`/#/bench/defect/${randomUUID()}`);
    await page.getByRole("alert").getByText("Das gibt es nicht").waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });
});
