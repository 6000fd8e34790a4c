// A fall on the pages: told on the phone with a few touches, with and without a signal, and met at the bench as the reason for an inspection.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import {
  chooseLanguage,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  phone,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";
import { openAtTheMachine } from "./rider.ts";

describeInBrowser("a machine that fell", () => {
  const { app, as } = testPages();

  test("is reported by its rider by what it struck and what is bent, and grounds it at once", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page, context, mark, machineId } = opened;
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    await page.getByRole("button", { name: "Load the list again" }).click();
    await page.locator(".cleared", { hasText: mark }).getByRole("link", { name: "It fell" }).click();
    expect(await page.getByRole("button", { name: "Send" }).isDisabled()).toBe(true);
    await page.getByRole("radio", { name: "Slid and went down" }).check();
    await page.getByRole("checkbox", { name: "Footrest" }).check();
    await page.getByRole("checkbox", { name: "Handlebar" }).check();
    await page.getByLabel("Odometer in km, if you can read it").fill("1003");
    await page.getByLabel("In your own words").fill("Wet leaves at the bridge");
    await expectSound(page, "fall");
    await shoot(page, "walk-fall");
    await page.getByRole("button", { name: "Send" }).click();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "fall reported");
    await shoot(page, "walk-fall-sent");
    const line = await onBoard(as, machineId);
    expect(line).toMatchObject({ standing: "grounded", reasons: [{ code: "fall-inspection" }, {}] });
    const { told } = await expectAnswer((await as("M001")).get(`/v1/falls/${line.reasons[0]?.fallId}`), 200);
    expect(told).toEqual({ hit: "slid", bent: ["footrest", "handlebar"], note: "Wet leaves at the bridge", odometerKm: 1003 });
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expectQuiet(opened);
    await context.close();
  });

  test.each(["en", "de"] as const)("is told at the desk for a rider who cannot, and stands grounded there (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0]) => word(key, language);
    const machineId = await addTestMachine(app);
    const opened = await openPageAs(app, "F001", language === "en" ? desk : smallest);
    const { page, context } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    await page.goto(`${new URL(page.url()).origin}/#/bench/machine/${machineId}`);
    await page.reload();
    const form = page.locator("details", { hasText: say("walk.fall.title") });
    await form.locator("summary").click();
    await form.getByRole("radio", { name: say("fall.hit.struck-vehicle") }).check();
    await form.getByRole("checkbox", { name: say("fall.bent.fork") }).check();
    await form.getByLabel(say("walk.note")).fill("At the crossing by the mill");
    await expectSound(page, `a fall told at the desk, ${language}`);
    await shoot(page, `bench-tell-fall-${language}`);
    await form.getByRole("button", { name: say("walk.report.send") }).click();
    await page.locator(".outcome", { hasText: say("standing.grounded") }).waitFor();
    if (language === "de") await expectNoEnglish(page, "a fall told at the desk");
    const { reasons } = await onBoard(as, machineId);
    const { told } = await expectAnswer((await as("M001")).get(`/v1/falls/${reasons[0]?.fallId}`), 200);
    expect(told).toEqual({ hit: "struck-vehicle", bent: ["fork"], note: "At the crossing by the mill", odometerKm: null });
    expectQuiet(opened);
    await context.close();
  });

  test("counts on a phone without a signal, and reaches the service with the next one", async () => {
    const opened = await openAtTheMachine(app, phone);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await page.getByRole("link", { name: "It fell" }).click();
    await page.getByRole("radio", { name: "Fell over while standing" }).check();
    await page.getByLabel("When was that?").selectOption("2");
    await context.setOffline(true);
    await page.getByRole("button", { name: "Send" }).click();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Not sent yet. It is kept on this phone").waitFor();
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText(`Fall of ${mark}`).waitFor();
    await page.getByRole("link", { name: mark }).getByText("Grounded").waitFor();
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await context.setOffline(false);
    await page.getByText(`Fall of ${mark}`).waitFor({ state: "detached" });
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    await context.close();
  });

  test("stands first at the bench, and its inspection says why and begins at the steering, in both languages", async () => {
    const mark = "FELL1";
    const machineId = await addTestMachine(app, { mark });
    const happenedAt = app.context.clock.now().toISOString();
    app.context.clock.advance(3 * 60 * 60_000);
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
    const fall = { id: randomUUID(), happenedAt, hit: "struck-fixed", bent: ["front-wheel", "fork"], note: "Kerb" };
    await expectAnswer((await as("R001")).post(`/v1/machines/${machineId}/falls`).send(fall), 201);
    for (const language of ["en", "de"] as const) {
      const opened = await openPageAs(app, "M001", language === "en" ? desk : smallest);
      const { page } = opened;
      await page.getByRole("heading", { name: "What waits at the bench" }).waitFor();
      await chooseLanguage(page, language);
      await page.reload();
      const row = page.getByRole("listitem").filter({ hasText: mark });
      await row.getByRole("link", { name: word("bench.inspect", language) }).click();
      await page.getByText(word("fall.hit.struck-fixed", language)).waitFor();
      await page.getByText(word("bench.fell.between", language, { at: "" }).slice(0, 14)).waitFor();
      const [first] = await page
        .getByRole("navigation", { name: word("bench.items", language) })
        .getByRole("heading")
        .allTextContents();
      expect(first).toBe(word("bench.fell.part", language));
      const items = page.locator(".item-list .item-link");
      expect(await items.first().textContent()).toContain(word("item.steering-head.name", language));
      if (language === "de") await expectNoEnglish(page, "inspection after a fall");
      await expectSound(page, `inspection after a fall, ${language}`);
      await shoot(page, `bench-fell-${language}`);
      await page.getByRole("button", { name: word("bench.begin", language) }).click();
      await page.getByRole("heading", { level: 1, name: word("item.steering-head.name", language) }).waitFor();
      expectQuiet(opened);
      await opened.context.close();
    }
  });
});
