// The rider enters all that the page lets in, and the service takes all of it; where it does not, the rider reads what it was.
import sharp from "sharp";
import { expect, test } from "vitest";
import { limits } from "../../shared/contracts/limits.ts";
import { describeInBrowser, expectQuiet, expectSound, shoot, testPages } from "./browser.ts";
import { answerStation, checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("what the rider's page lets enter", () => {
  const { app } = testPages();

  test("is taken by the service: as many photos, as long a note, as high an odometer as there is room for", async () => {
    const opened = await openAtTheMachine(app);
    const { page, context, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await answerStation(page);
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    await page.getByText("Cords show").click();
    await page.getByLabel("In your own words").click();
    await page.keyboard.insertText(`Cords\tshow \u{1f6f5} ${"\u{1f6f5}\t".repeat(500)} and more`);
    const buffer = await sharp({ create: { width: 20, height: 10, channels: 3, background: "#963" } })
      .jpeg()
      .toBuffer();
    const camera = page.locator("input[type=file]");
    for (let count = 1; count <= limits.photos; count += 1) {
      await camera.setInputFiles({ name: `${count}.jpg`, mimeType: "image/jpeg", buffer });
      await page.getByText(new RegExp(`(^Photos: ${count}$|^${count} photos: no more)`)).waitFor();
    }
    // There is no way to an eleventh.
    await camera.waitFor({ state: "detached" });
    await expectSound(page, "item with all photos");
    await shoot(page, "walk-most-photos");
    await page.getByRole("button", { name: "Done here" }).click();
    await walkRound(page);
    const other = page.getByRole("button", { name: "It shows something else" });
    if (await other.isVisible()) await other.click();
    const odometer = page.getByLabel("Odometer (km)");
    await odometer.click();
    // Whatever is pressed, no figure appears that the service would not take.
    await page.keyboard.type("99999999");
    expect(Number(await odometer.inputValue())).toBeLessThanOrEqual(limits.odometerKm);
    await odometer.fill("");
    const pad = page.locator(".pad").filter({ has: odometer });
    for (const key of "1999999") await pad.getByRole("button", { name: key, exact: true }).click();
    expect(await odometer.inputValue()).toBe("1999999");
    await sendWalk(page);
    // So much in a day is asked about once more, and sent where the rider stays with it.
    await page.getByRole("button", { name: "It is right: send it" }).click();
    await page.getByText("Sent. The service has it.").waitFor();
    const [check] = await checksOf(app, machineId);
    expect(check?.decision).toBe("do-not-ride");
    // Nothing of it had to be mended.
    for (const flag of ["text-clipped", "photos-left-out", "odometer-unreadable", "value-unreadable"])
      expect(check?.flags).not.toContain(flag);
    const answer = check?.answers.find(({ itemId }) => itemId === "front-tyre-tread") as { note?: string; photoIds?: string[] } | undefined;
    expect(answer?.photoIds).toHaveLength(limits.photos);
    expect(answer?.note?.length).toBeGreaterThan(limits.note - 5);
    expect(answer?.note).toMatch(/^Cords show \u{1f6f5}/u);
    expectQuiet(opened);
    await context.close();
  });

  test("and where the service refuses a value all the same, the rider reads which one it was", async () => {
    const { page, context, mark, machineId } = await openAtTheMachine(app);
    // An old page, or one that somebody has tampered with.
    await page.route("**/v1/daily-checks", (route) =>
      route.continue({ postData: { ...route.request().postDataJSON(), odometerKm: 9_000_123 } }),
    );
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("This check does not count. It says something that cannot be taken as it is: the odometer.").waitFor();
    await expectSound(page, "refused with its place");
    await shoot(page, "walk-refused-place");
    await page.goto("/#/walk");
    await page.reload();
    await page.getByRole("alert").getByText("cannot be taken as it is: the odometer").waitFor();
    expect(await checksOf(app, machineId)).toEqual([]);
    await context.close();
  });
});
