// A list that is empty because of what was looked for says so: it never reads as if nothing of the kind were there.
import { beforeAll, expect, test } from "vitest";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { describeInBrowser, expectSound, openPageAs, shoot, testPages } from "./browser.ts";

describeInBrowser("what was looked for", () => {
  const { app, as } = testPages();
  beforeAll(async () => {
    const rider = await as("R001");
    for (const [mark, seen] of [
      ["LOOK1", "front-brake-cable.frayed"],
      ["LOOK2", "front-brake-cable.frayed"],
      ["LOOK3", "horn.weak"],
    ] as const) {
      const machineId = await addTestMachine(app, { mark });
      await expectAnswer(rider.post("/v1/defects").send(reportOf(app, machineId, seen)), 201);
    }
  });

  test("at the bench with two machines grounded, a mark that neither has does not make it say that none is", async () => {
    const { page, context } = await openPageAs(app, "M001");
    await page.getByRole("heading", { name: /^Grounded 2/ }).waitFor();
    await page.getByLabel("Find a mark").fill("zz 9");
    await page.getByText("2 stand here; no mark of them has 'ZZ9' in it.").waitFor();
    await page.getByText("One stands here; its mark has no 'ZZ9' in it.").waitFor();
    await page.getByText("No mark has 'ZZ9' in it.").waitFor();
    expect(await page.getByText("No machine is grounded by a defect.").count()).toBe(0);
    // A list of which there is nothing at all still says just that.
    await page.getByText("No inspection is overdue.").waitFor();
    await expectSound(page, "the bench with a mark that nothing has");
    await shoot(page, "bench-none-like-it");
    await context.close();
  });

  test("on the board neither", async () => {
    const { page, context } = await openPageAs(app, "F001");
    await page.getByLabel("Find a mark").fill("ZZ9");
    await page.getByText("2 stand here; no mark of them has 'ZZ9' in it.").waitFor();
    expect(await page.getByText("Nothing keeps a machine here.").count()).toBe(0);
    await context.close();
  });
});
