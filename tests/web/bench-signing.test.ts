// Who may not sign an inspection hands it on, and what grounds the machine does not wait for the signature.
import { randomUUID } from "node:crypto";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { expectAnswer } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine } from "../support/sheets.ts";
import { describeInBrowser, expectQuiet, expectSound, openPageAs, shoot, smallest, testPages } from "./browser.ts";

describeInBrowser("an inspection that one measures and another signs", () => {
  const { app, as } = testPages();

  const standingOf = async (machineId: string): Promise<string> =>
    (await expectAnswer((await as("F001")).get(`/v1/machines/${machineId}`), 200)).standing;
  const press = async (page: Page, keys: string) => {
    for (const key of keys) await page.locator(".keys").getByRole("button", { name: key, exact: true }).click();
  };

  test("who may not sign measures, reports what grounds at once and hands the draft on; another reads the names and signs", async () => {
    const machineId = await addTestMachine(app, { inspected: false });
    const lining = "front-lining";
    const opened = await openPageAs(app, "M003", smallest);
    const { page } = opened;
    const answers = answersAsNew(testMachine).filter(({ itemId }) => itemId !== lining);
    const draft = { machineId, sheetVersion: SHEET_VERSION, revision: 0, answers };
    await expectAnswer((await as("M003")).put(`/v1/weekly-inspections/drafts/${randomUUID()}`).send(draft), 200);
    await page.goto(`/#/bench/inspect/${machineId}/${lining}`);
    await press(page, "0.5");
    await page.getByRole("button", { name: "Noted: next" }).click();
    await page.goto(`/#/bench/inspect/${machineId}/end`);
    await press(page, "1012");
    expect(await page.getByRole("button", { name: "Submit the inspection" }).count()).toBe(0);
    await page.getByText("This grounds the machine and must not wait").waitFor();
    await expectSound(page, "an inspection to hand on");
    await shoot(page, "bench-hand-on");
    await page.getByRole("button", { name: "Report it now" }).click();
    await page.getByText("Reported: 1.").waitFor();
    expect(await standingOf(machineId)).toBe("grounded");
    await page.getByRole("button", { name: "Save for the one who signs" }).click();
    await page.getByText("Saved. It waits for the one who signs.").waitFor();
    expectQuiet(opened);
    await opened.context.close();

    const signer = await openPageAs(app, "M001");
    await signer.page.goto(`/#/bench/inspect/${machineId}/end`);
    await signer.page.getByText("Measured by Person M003. Read it").waitFor();
    await expectSound(signer.page, "an inspection to sign");
    await signer.page.getByRole("button", { name: "Submit the inspection" }).click();
    await signer.page.getByRole("heading", { name: "The inspection is recorded" }).waitFor();
    const { items } = await expectAnswer((await as("M001")).get("/v1/weekly-inspections").query({ machineId }), 200);
    expect(items[0]).toMatchObject({
      staffId: app.cast.staffId("M001"),
      measuredBy: [{ staffId: app.cast.staffId("M003"), itemIds: expect.arrayContaining([lining]) }],
    });
    expectQuiet(signer);
    await signer.context.close();
  });
});
