// The figures at the end of a walk: in the unit of the gauge at hand, asked about while the rider stands there; and what stops the rider alone.
import { expect, test } from "vitest";
import { proofFor } from "../../shared/catalogue/proof.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { onBoard, peopleAtHand } from "../support/acts.ts";
import { chainMachine, testHandbook } from "../support/machines.ts";
import { describeInBrowser, expectNoEnglish, expectQuiet, expectSound, shoot, smallest, testPages } from "./browser.ts";
import { answerStation, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("the figures of a walk", () => {
  const { app } = testPages();

  /** At the end of the walk of a machine that is asked for this today. */
  async function atTheEnd(quantity: string, options?: Parameters<typeof openAtTheMachine>[1]) {
    for (;;) {
      const opened = await openAtTheMachine(app, options);
      const day = localDay(app.context.clock.now(), "Europe/London");
      const asked = proofFor({ machineId: opened.machineId, day, features: chainMachine, handbook: testHandbook });
      if (asked.quantity === quantity) {
        await opened.page.getByRole("link", { name: opened.mark }).click();
        await walkRound(opened.page);
        return opened;
      }
      await opened.context.close();
    }
  }

  test("29 typed under kPa is asked about, goes as psi where that was the gauge, and is within", async () => {
    const opened = await atTheEnd("rear-tyre-pressure", smallest);
    const { page, machineId } = opened;
    await page.getByText("Cold, before riding").waitFor();
    await page.getByRole("textbox", { name: /Rear tyre pressure/ }).fill("29");
    await expectSound(page, "finish with a reading");
    await shoot(page, "walk-reading");
    await sendWalk(page);
    const dialog = page.getByRole("dialog", { name: "Read it again" });
    await dialog.getByText("29 kPa is hardly possible here. Did the gauge show psi?").waitFor();
    await expectSound(page, "a reading asked about");
    await shoot(page, "walk-ask-unit");
    await dialog.getByRole("button", { name: "Yes, psi" }).click();
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check).toMatchObject({ decision: "ride", proof: { value: 29, unit: "psi" }, flags: ["odometer-not-read", "done-quickly"] });
    expectQuiet(opened);
    await opened.context.close();
  });

  test("a tyre that is truly nearly flat stands when it was looked at twice, and grounds on the phone and in the service", async () => {
    const opened = await atTheEnd("rear-tyre-pressure");
    const { page, machineId } = opened;
    await page.getByRole("textbox", { name: /Rear tyre pressure/ }).fill("60");
    await page.getByRole("button", { name: "It shows this" }).click();
    await page.getByText("You have read it.").waitFor();
    await sendWalk(page);
    await page.getByRole("dialog").getByText("60 kPa is unusual: 100 to 350 kPa is usual.", { exact: false }).waitFor();
    await page.getByRole("button", { name: "It is right: send it" }).click();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check).toMatchObject({ decision: "do-not-ride", proof: { value: 60, unit: "kPa", readTwice: true }, odometerRead: true });
    expect((await onBoard(peopleAtHand(app), machineId)).standing).toBe("grounded");
    expectQuiet(opened);
    await opened.context.close();
  });

  test("an odometer that jumped is asked about while the rider stands at it, and taken when it is so", async () => {
    const opened = await atTheEnd("front-tyre-pressure");
    const { page, machineId } = opened;
    await page.getByRole("button", { name: "It shows something else" }).click();
    await page.getByRole("textbox", { name: /Odometer/ }).fill("123456");
    await sendWalk(page);
    await page.getByRole("dialog").getByText("123,456 km is 122,456 km more than on", { exact: false }).waitFor();
    await shoot(page, "walk-ask-odometer");
    await page.getByRole("dialog").getByRole("button", { name: "Put it right" }).click();
    await page.getByRole("textbox", { name: /Odometer/ }).fill("999");
    await sendWalk(page);
    await page.getByRole("dialog").getByText("999 km is 1 km less than on", { exact: false }).waitFor();
    await page.getByRole("button", { name: "It is right: send it" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check).toMatchObject({ odometerKm: 999, odometerRead: true, flags: ["odometer-backwards", "proof-missing", "done-quickly"] });
    expectQuiet(opened);
    await opened.context.close();
  });

  test("a rider without gloves reads that this is about the rider, in each language, and the machine has no defect", async () => {
    const opened = await openAtTheMachine(app, smallest);
    const { page, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    const gear = page.getByRole("button", { name: /: The rider$/ });
    for (await page.locator(".station").waitFor(); (await gear.count()) === 0; await page.locator(".station").waitFor())
      await answerStation(page);
    await gear.click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("No gloves, or torn ones").click();
    await dialog.getByRole("button", { name: "Done here" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("This is about you, not the machine", { exact: false }).waitFor();
    await page.getByText("Rider not equipped to ride: No gloves, or torn ones", { exact: false }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await expectSound(page, "answer: this rider alone");
    await shoot(page, "walk-rider-alone");
    expect(await checksOf(app, machineId)).toMatchObject([{ decision: "do-not-ride", defectIds: [] }]);
    expect((await onBoard(peopleAtHand(app), machineId)).standing).toBe("unchecked");
    await page.getByRole("button", { name: /R001/ }).click();
    await page.getByRole("radio", { name: "Deutsch" }).check();
    await page.keyboard.press("Escape");
    await page.getByText("Es geht um Sie, nicht um die Maschine", { exact: false }).waitFor();
    await expectNoEnglish(page, "answer: this rider alone");
    await shoot(page, "walk-rider-alone-german");
    expectQuiet(opened);
    await opened.context.close();
  });
});
