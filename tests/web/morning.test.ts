// One morning, four people, four browsers: found by the rider, put right by two mechanics, seen by the manager, proved to the auditor.
import { expect, test } from "vitest";
import { describeInBrowser, desk, expectQuiet, openPageAs, phone, testPages } from "./browser.ts";
import { answerStation, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("a morning in the pages", () => {
  const { app } = testPages();

  test("a machine is found dangerous, repaired, signed off by somebody else, ridden, and all of it stands proved in the records", async () => {
    // The worker of the pages is at work in two of the browsers, as it is wherever they are used.
    const manager = await openPageAs(app, "F001", { ...desk, serviceWorkers: "allow" });
    await manager.page.getByText("Live. Read at").waitFor();

    const rider = await openAtTheMachine(app, { ...phone, serviceWorkers: "allow" });
    const { mark } = rider;
    await rider.page.getByRole("link", { name: mark }).click();
    await answerStation(rider.page);
    await rider.page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    await rider.page.getByText("Cords show").click();
    await rider.page.getByRole("button", { name: "Done here" }).click();
    await walkRound(rider.page);
    await sendWalk(rider.page);
    await rider.page.getByRole("heading", { name: "Do not ride" }).waitFor();
    const onBoard = manager.page.getByRole("row", { name: new RegExp(mark) });
    await onBoard.getByText("Grounded").waitFor();

    const first = await openPageAs(app, "M001", phone);
    await first.page.getByRole("listitem").filter({ hasText: mark }).getByRole("link").click();
    await first.page.getByLabel("What was done").fill("New tyre");
    // Where the cords show, only a new one puts it right.
    await first.page.getByLabel("Part", { exact: true }).fill("Front tyre");
    await first.page.getByRole("button", { name: "Record the repair" }).click();
    await first.page.getByText("Somebody else has to do this").waitFor();

    const second = await openPageAs(app, "M002", phone);
    await second.page.getByRole("listitem").filter({ hasText: mark }).getByRole("link").click();
    await second.page.getByLabel("Front tread depth (mm)").fill("5.5");
    await second.page.getByRole("button", { name: "I sign it off" }).click();
    await second.page.locator(".outcome").getByText("Unchecked").waitFor();
    await onBoard.getByText("Unchecked").waitFor();

    app.context.clock.advance(60_000);
    await rider.page.getByRole("button", { name: "Another machine" }).click();
    await rider.page.getByRole("button", { name: "Load the list again" }).click();
    await rider.page.getByRole("link", { name: mark }).getByText("Unchecked").waitFor();
    await rider.page.getByRole("link", { name: mark }).click();
    await walkRound(rider.page);
    await sendWalk(rider.page);
    await rider.page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await manager.page.getByText("1 of 1 can go out").waitFor();

    const auditor = await openPageAs(app, "A001");
    await auditor.page.getByRole("button", { name: "Read the records" }).click();
    await auditor.page.getByLabel("Kind").selectOption({ label: "A competent person signed the defect off" });
    await auditor.page
      .getByRole("row", { name: new RegExp(mark) })
      .getByRole("link")
      .click();
    await auditor.page.getByText("The proof holds.").waitFor();
    await auditor.page.getByRole("link", { name: "Its course" }).click();
    await expect.poll(() => auditor.page.locator(".course li").count()).toBe(3);
    for (const opened of [manager, rider, first, second, auditor]) {
      expectQuiet(opened);
      await opened.context.close();
    }
  });
});
