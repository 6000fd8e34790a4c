// The auditor's desk: a month, whether it is complete, every record with its proof, and the pack to take along.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { keepPacking } from "../../src/audit/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { describeInBrowser, desk, expectQuiet, expectSound, openPageAs, phone, shoot, smallest, testPages } from "./browser.ts";

/** Opens the record by way of the desk, so that it is asked for again. */
async function openAnew(page: Page, id: string): Promise<void> {
  await page.goto("/#/audit");
  // Two addresses that follow each other before anything is drawn are one: the record would stand there as it was read before.
  await page.getByRole("button", { name: "Read the records" }).waitFor();
  await page.goto(`/#/audit/record/${id}`);
}

describeInBrowser("the auditor's desk", () => {
  const { app, as } = testPages();
  let defectId: string;
  let stopPacking: () => Promise<void>;
  beforeAll(async () => {
    const machines: string[] = [];
    for (let count = 1; count <= 3; count += 1) machines.push(await addTestMachine(app, { mark: `AUD${count}` }));
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machines[0] ?? "")), 201);
    await expectAnswer((await as("R002")).post("/v1/daily-checks").send(checkFinding(app, machines[1] ?? "", "stop-lamp.out")), 201);
    defectId = (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machines[2] ?? "", "horn.silent")), 201))
      .defect.id;
    app.context.clock.advance(86_400_000);
    await takeCheckpoint(app.context);
    stopPacking = await keepPacking(app.context);
  });
  afterAll(() => stopPacking());

  test("a month shows machine by day whether it was checked, told apart without colour", async () => {
    for (const [size, name] of [
      [desk, "desk"],
      [phone, "phone"],
      [smallest, "smallest"],
    ] as const) {
      const opened = await openPageAs(app, "A001", size);
      const { page } = opened;
      await page.getByRole("heading", { name: "Records of a month" }).waitFor();
      await page.getByText("Choose a depot to see its machines day by day.").waitFor();
      await page.getByLabel("Depot").selectOption({ label: "Home" });
      const row = page.getByRole("row", { name: /AUD2/ });
      await row.waitFor();
      expect(await row.getByText("Checked, defect found").count()).toBeGreaterThan(0);
      await page.getByText("This browser keeps the newest one from now on").waitFor();
      await expectSound(page, `desk, ${name}`);
      await shoot(page, `audit-${name}`);
      await page.getByLabel("Machine (a part of its mark)").fill("aud1");
      expect(await page.getByRole("row", { name: /AUD/ }).count()).toBe(1);
      expectQuiet(opened);
      await opened.context.close();
    }
  });

  test("every record is listed, opens, and has its proof recomputed by the page; one that was altered on its way does not hold", async () => {
    const opened = await openPageAs(app, "A001");
    const { page } = opened;
    await page.getByRole("button", { name: "Read the records" }).click();
    await page.getByText(/^\d+ records\.$/).waitFor();
    await page.getByLabel("Kind").selectOption({ label: "A defect was raised" });
    await page.getByLabel("Machine (a part of its mark)").fill("AUD3");
    await expectSound(page, "records");
    await shoot(page, "audit-records");
    await page.getByRole("row", { name: /AUD3/ }).getByRole("link").click();
    await page.getByRole("heading", { name: "A defect was raised" }).waitFor();
    await page.getByText("The proof holds.").waitFor();
    expect(await page.getByRole("listitem").filter({ hasText: "Holds." }).count()).toBe(4);
    expect(await page.getByText("Something in it is wrong").count()).toBe(0);
    await page.getByRole("definition").filter({ hasText: "R001" }).waitFor();
    await page.getByRole("link", { name: "AUD3" }).waitFor();
    await expectSound(page, "record");
    await shoot(page, "audit-record");

    // What is shown is not what was sealed.
    await page.route(`**/v1/records/${defectId}`, async (route) => {
      const answer = await route.fetch();
      const body = await answer.json();
      body.record.data.submitted.observationIds = ["horn.weak"];
      await route.fulfill({ response: answer, json: body });
    });
    await openAnew(page, defectId);
    await page.getByText("The proof does not hold.").waitFor();
    await page.getByRole("listitem").filter({ hasText: "What it says has the hash" }).getByText("Does not hold.").waitFor();
    await expectSound(page, "record that was altered");
    await shoot(page, "audit-record-altered");
    await page.unroute(`**/v1/records/${defectId}`);

    // A checkpoint that nobody signed.
    await page.route(`**/v1/records/${defectId}/proof`, async (route) => {
      const answer = await route.fetch();
      const body = await answer.json();
      body.checkpoint.rootSha256 = "0".repeat(64);
      await route.fulfill({ response: answer, json: body });
    });
    await openAnew(page, defectId);
    await page.getByText("The proof does not hold.").waitFor();
    expect(await page.getByRole("listitem").filter({ hasText: "Does not hold." }).count()).toBe(2);
    expectQuiet(opened);
    await opened.context.close();
  });

  test("who reads a record in another year is told its year", async () => {
    const opened = await openPageAs(app, "A001");
    const { page } = opened;
    await openAnew(page, defectId);
    await page.getByText("13 Jul, 05:30").first().waitFor();
    await page.clock.setSystemTime("2027-02-01T05:30:00Z");
    await openAnew(page, defectId);
    await page.getByText("13 Jul 2026, 05:30").first().waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("a newest checkpoint that does not continue the one kept here is noticed", async () => {
    const opened = await openPageAs(app, "A001");
    const { page } = opened;
    await page.getByText("This browser keeps the newest one from now on").waitFor();
    await takeCheckpoint(app.context);
    await expectAnswer((await as("A001")).get("/v1/reports/roadworthiness.pdf"), 200);
    app.context.clock.advance(60_000);
    await takeCheckpoint(app.context);
    await page.reload();
    await page.getByText("The newest continues the one that this browser has kept").waitFor();
    await page.evaluate(() => {
      const kept = JSON.parse(localStorage.getItem("ferrule.checkpoint") ?? "{}") as { number: number; rootSha256: string };
      localStorage.setItem("ferrule.checkpoint", JSON.stringify({ ...kept, rootSha256: "f".repeat(64) }));
    });
    await page.reload();
    await page.getByRole("alert").getByText("The newest does not continue the one").waitFor();
    await expectSound(page, "log written anew");
    await shoot(page, "audit-broken");
    await page.getByLabel("I know that this is another service than before").check();
    await page.getByRole("button", { name: "Start again" }).click();
    await page.getByText("This browser keeps the newest one from now on").waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("a correction is recorded beside the record, and the pack of the month can be fetched", async () => {
    const opened = await openPageAs(app, "F001", phone);
    const { page } = opened;
    await page.goto(`/#/audit/record/${defectId}`);
    await page.getByText("Something in it is wrong").click();
    await page.getByLabel("Where (as in the table; empty: the whole record)").fill("/submitted/seenAt");
    await page.getByLabel("What is right instead").fill("2026-07-13T04:29:00.000Z");
    await page.getByLabel("Why").fill("Looked at the wrong clock");
    await page.getByRole("button", { name: "Record the correction" }).click();
    await page
      .getByRole("row", { name: /\/submitted\/seenAt/ })
      .getByText("Looked at the wrong clock")
      .waitFor();
    await expectSound(page, "record with a correction");
    await shoot(page, "audit-corrected");
    await page.goto("/#/audit");
    await page.getByRole("button", { name: "Order the audit pack of 2026-07" }).click();
    await page.getByRole("link", { name: /Fetch the pack/ }).waitFor();
    await page.getByLabel("Month").fill("2026-09");
    await page.getByText("That month is still to come.").waitFor();
    await expectSound(page, "month to come");
    expectQuiet(opened);
    await opened.context.close();
  });
});
