// On a walk a rider puts something right on the spot: the phone offers it where the sheet does, asks for the reading after it, and judges that.
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { onBoard } from "../support/acts.ts";
import { nilCheckOf } from "../support/sheets.ts";
import { describeInBrowser, expectNoEnglish, expectQuiet, expectSound, openPageAs, shoot, smallest, testPages } from "./browser.ts";
import { answerStation, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("put right on a walk", () => {
  const { app, as } = testPages();

  /** With the sheet of the front tyre open. */
  async function atTheTyre(options?: Parameters<typeof openAtTheMachine>[1]) {
    const opened = await openAtTheMachine(app, options);
    await toTheTyre(opened.page, opened.mark);
    return opened;
  }
  async function toTheTyre(page: Page, mark: string) {
    await page.getByRole("link", { name: mark }).click();
    const tyre = page.locator('[data-item="front-tyre-pressure"]');
    for (;;) {
      await page.locator(".station, .day-item").waitFor();
      if ((await tyre.count()) > 0) break;
      await answerStation(page);
    }
    await tyre.click();
  }
  async function inGerman(page: Page, who: string) {
    await page.getByRole("button", { name: new RegExp(who) }).click();
    await page.getByRole("radio", { name: "Deutsch" }).check();
    await page.keyboard.press("Escape");
  }

  test("a soft tyre that was pumped up is read again, goes as put right without a signal, and is no defect", async () => {
    const opened = await atTheTyre(smallest);
    const { page, machineId, context } = opened;
    const dialog = page.getByRole("dialog");
    const done = dialog.getByRole("checkbox", { name: "I have put it right here" });
    expect(await done.count()).toBe(0);
    await dialog.getByRole("checkbox", { name: "A little softer than usual" }).check();
    await done.check();
    await dialog.getByText("Without a reading it is noted as a defect.", { exact: false }).waitFor();
    await expectSound(page, "put right, not read yet");
    await dialog.getByRole("textbox", { name: /Front tyre pressure/ }).fill("150");
    await dialog.getByText("Still outside its limits").waitFor();
    await dialog.getByRole("textbox", { name: /Front tyre pressure/ }).fill("25");
    await dialog.getByText("Did the gauge show psi?", { exact: false }).waitFor();
    await dialog
      .getByRole("combobox")
      .or(dialog.getByRole("radio", { name: "psi" }))
      .first()
      .waitFor();
    await dialog.getByRole("textbox", { name: /Front tyre pressure/ }).fill("175");
    await dialog.getByText("As it should be now: no defect.").waitFor();
    await expectSound(page, "put right and read");
    await shoot(page, "walk-put-right");
    await dialog.getByRole("button", { name: "Done here" }).click();
    await page.locator('[data-item="front-tyre-pressure"]').getByText("Put right").waitFor();
    await walkRound(page);
    await page.getByText("Front tyre pressure (Put right)").waitFor();
    await context.setOffline(true);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Not sent yet. It is kept on this phone").waitFor();
    await context.setOffline(false);
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check?.decision).toBe("ride");
    expect(check?.answers.find(({ itemId }) => itemId === "front-tyre-pressure")).toMatchObject({
      result: "put-right",
      reading: { value: 175, unit: "kPa" },
    });
    await context.close();
  });

  test("what no rider can put right is not offered, and what is not read again goes as a defect", async () => {
    const opened = await atTheTyre();
    const { page, machineId, context } = opened;
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("checkbox", { name: "A little softer than usual" }).check();
    await dialog.getByRole("checkbox", { name: "I have put it right here" }).check();
    await dialog.getByRole("checkbox", { name: "Valve bent, cut or hissing" }).check();
    expect(await dialog.getByRole("checkbox", { name: "I have put it right here" }).count()).toBe(0);
    await dialog.getByRole("checkbox", { name: "Valve bent, cut or hissing" }).uncheck();
    await dialog.getByRole("button", { name: "Done here" }).click();
    await page.locator('[data-item="front-tyre-pressure"]').getByText("Noted").waitFor();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride, with these defects" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check?.answers.find(({ itemId }) => itemId === "front-tyre-pressure")?.result).toBe("defect");
    expectQuiet(opened);
    await context.close();
  });

  test("in German, and the third time it stands on board and bench as a question, with a link to the machine", async () => {
    const opened = await openAtTheMachine(app);
    const { page, machineId, mark, context } = opened;
    await inGerman(page, "R001");
    await toTheTyre(page, mark);
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("checkbox", { name: "Etwas weicher als sonst" }).check();
    await dialog.getByRole("checkbox", { name: "Habe ich hier selbst behoben" }).check();
    await dialog.getByRole("textbox").first().fill("175");
    await dialog.getByText("Jetzt, wie es sein soll: kein Mangel.").waitFor();
    await expectNoEnglish(page, "put right");
    await shoot(page, "walk-put-right-de");
    await context.close();

    for (let count = 0; count < 3; count += 1) {
      app.context.clock.advance(60_000);
      const body = nilCheckOf(app, machineId);
      const answers = body.answers.map((one) =>
        one.itemId === "front-tyre-pressure"
          ? { ...one, result: "put-right" as const, observationIds: ["front-tyre-pressure.a-little-soft"], reading: { value: 175 } }
          : one,
      );
      await (await as("R001"))
        .post("/v1/daily-checks")
        .send({ ...body, answers })
        .expect(201);
    }
    expect((await onBoard(as, machineId)).putRightOften).toHaveLength(1);
    for (const [who, where] of [
      ["F001", "board"],
      ["M001", "bench"],
    ] as const) {
      const at = await openPageAs(app, who);
      await inGerman(at.page, who);
      await at.page.goto(`${at.page.url().split("#")[0]}#/${where}`);
      const asked = at.page.locator("section", { has: at.page.getByRole("heading", { name: "Von Fahrern immer wieder behoben" }) });
      await asked.getByText("3-mal selbst behoben", { exact: false }).waitFor();
      await expectSound(at.page, `${where} with a question`);
      await expectNoEnglish(at.page, `${where} with a question`);
      await shoot(at.page, `put-right-often-${where}`);
      await asked.getByRole("link", { name: mark }).click();
      await at.page.getByText("3-mal selbst behoben", { exact: false }).waitFor();
      await at.page.getByText("Selbst behoben: ", { exact: false }).first().waitFor();
      await expectNoEnglish(at.page, "a machine with a question");
      await shoot(at.page, `put-right-often-machine-${where}`);
      expectQuiet(at);
      await at.context.close();
    }
  });
});
