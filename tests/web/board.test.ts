// The manager at seven: one look, and it changes by itself.
import { afterAll, beforeAll, expect, test } from "vitest";
import { keepPacking } from "../../src/audit/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { describeInBrowser, desk, expectQuiet, expectSound, openPageAs, phone, shoot, smallest, testPages } from "./browser.ts";

describeInBrowser("the morning board", () => {
  const { app, as } = testPages();
  let stopPacking: () => Promise<void>;
  const machines: string[] = [];
  beforeAll(async () => {
    for (let count = 1; count <= 5; count += 1) machines.push(await addTestMachine(app, { mark: `BRD${count}`, inspected: count < 5 }));
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machines[0] ?? "")), 201);
    await expectAnswer((await as("R002")).post("/v1/daily-checks").send(checkFinding(app, machines[1] ?? "", "horn.silent")), 201);
    stopPacking = await keepPacking(app.context);
  });
  afterAll(() => stopPacking());

  test("one look tells how many can go out at each depot, and which cannot and why", async () => {
    for (const [size, name] of [
      [desk, "desk"],
      [phone, "phone"],
      [smallest, "smallest"],
    ] as const) {
      const opened = await openPageAs(app, "F001", size);
      const { page } = opened;
      const home = page.getByRole("region", { name: "Home" });
      await home.getByText("of 5 can go out").waitFor();
      expect((await home.locator("strong").textContent())?.trim()).toBe("1");
      await page.getByRole("row", { name: /BRD2/ }).getByText("Grounded").waitFor();
      await page.getByRole("row", { name: /BRD2/ }).getByText("Major defect: Horn").waitFor();
      await page.getByRole("row", { name: /BRD5/ }).getByText("New here: a weekly inspection is due").waitFor();
      await page.getByRole("region", { name: "Far" }).getByText("This depot has no machine.").waitFor();
      await expectSound(page, `board, ${name}`);
      await shoot(page, `board-${name}`);
      await page.getByLabel("Depot").selectOption({ label: "Home" });
      await page.getByRole("heading", { name: "This week at the workshop" }).waitFor();
      await page.getByText("of 8 hours").first().waitFor();
      await expectSound(page, `board of a depot, ${name}`);
      await shoot(page, `board-depot-${name}`);
      expectQuiet(opened);
      await opened.context.close();
    }
  });

  test("a grounding reaches the open board by itself, and a past moment stays as it was", async () => {
    const opened = await openPageAs(app, "F001");
    const { page } = opened;
    await page.getByText("Live. Read at").waitFor();
    const row = page.getByRole("row", { name: /BRD3/ });
    await row.getByText("Unchecked").waitFor();
    const before = app.context.clock.now();
    app.context.clock.advance(60_000);
    await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machines[2] ?? "", "front-brake-cable.frayed")), 201);
    // Two seconds are the aim; the bench says how long it takes.
    await row.getByText("Grounded").waitFor();
    await row.getByText("Dangerous defect").waitFor();

    const local = new Intl.DateTimeFormat("sv-SE", { dateStyle: "short", timeStyle: "short", timeZone: "Europe/London" }).format(before);
    await page.clock.setSystemTime(app.context.clock.now());
    await page.getByLabel("As it stood at").fill(local.replace(" ", "T"));
    await page.getByText("This is the past").waitFor();
    await row.getByText("Unchecked").waitFor();
    await expectSound(page, "past board");
    await shoot(page, "board-past");
    await page.getByRole("button", { name: "Back to now" }).click();
    await row.getByText("Grounded").waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("without a signal it says that it is not live, and it is live again by itself", async () => {
    const opened = await openPageAs(app, "F001");
    const { page, context } = opened;
    await page.getByText("Live. Read at").waitFor();
    await context.setOffline(true);
    await page.clock.runFor(61_000);
    await page.getByText("Not live at the moment").waitFor();
    await expectSound(page, "board without a signal");
    await context.setOffline(false);
    await page.clock.runFor(61_000);
    await page.getByText("Live. Read at").waitFor();
    await context.close();
  });

  test("riders who are ticked get machines, and who has none is named with the reason", async () => {
    const opened = await openPageAs(app, "F001");
    const { page } = opened;
    await page.getByLabel("Depot").selectOption({ label: "Far" });
    await page.getByRole("button", { name: "All of them" }).click();
    await page.getByRole("button", { name: "Give them machines" }).click();
    await page.getByRole("heading", { name: "Without a machine" }).waitFor();
    await page.getByText(/Person R101 \(R101\): .*machine/).waitFor();
    await expectSound(page, "nobody served");
    await shoot(page, "board-unserved");
    await page.getByLabel("Depot").selectOption({ label: "Home" });
    await page.getByRole("button", { name: "All of them" }).click();
    await page.getByLabel("Needs a load box: Person R002").check();
    await page.getByRole("button", { name: "Give them machines" }).click();
    await page.getByRole("row", { name: /Person R001 R001/ }).waitFor();
    await expectSound(page, "allotted");
    await shoot(page, "board-allotted");
    await page.reload();
    await page.getByLabel("Depot").selectOption({ label: "Home" });
    await page.getByText("2 of 2 riders ride today").waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("the papers open, and the pack of the month is made while one looks on and can be fetched", async () => {
    const opened = await openPageAs(app, "F001");
    const { page } = opened;
    const paper = await page.getByRole("link", { name: "Roadworthiness of the fleet" }).getAttribute("href");
    const answer = await page.request.get(paper ?? "", { headers: { "sec-fetch-site": "none" } });
    expect([answer.status(), answer.headers()["content-type"]]).toEqual([200, "application/pdf"]);
    await page.getByRole("button", { name: "Order the audit pack of 2026-07" }).click();
    const link = page.getByRole("link", { name: /Fetch the pack of 2026-07/ });
    await link.waitFor();
    await expectSound(page, "pack ready");
    await shoot(page, "board-pack");
    const [download] = await Promise.all([page.waitForEvent("download"), link.click()]);
    expect(download.suggestedFilename()).toMatch(/^records-2026-07-.*\.zip$/);
    await page.getByLabel("From").fill("2026-07-12");
    await page.getByLabel("To", { exact: true }).fill("2026-07-01");
    await page.getByText("The first day lies after the last.").waitFor();
    await expectSound(page, "days in the wrong order");
    expectQuiet(opened);
    await opened.context.close();
  });

  test("a manager of one depot sees that depot, and an auditor no workshop and no riders", async () => {
    const manager = await openPageAs(app, "F101");
    await manager.page.getByRole("heading", { name: "This morning at Far" }).waitFor();
    await manager.page.getByText("This depot has no machine.").waitFor();
    expect(await manager.page.getByLabel("Depot").count()).toBe(0);
    await expectSound(manager.page, "board of one depot without machines");
    expectQuiet(manager);
    await manager.context.close();
    const auditor = await openPageAs(app, "A001");
    await auditor.page.getByRole("link", { name: "Morning board" }).click();
    await auditor.page.getByText("of 5 can go out").waitFor();
    await auditor.page.getByLabel("Depot").selectOption({ label: "Home" });
    expect(await auditor.page.getByRole("heading", { name: /Who rides what|This week/ }).count()).toBe(0);
    expectQuiet(auditor);
    await auditor.context.close();
  });

  test("on paper the list of what cannot go out is whole", async () => {
    const opened = await openPageAs(app, "F001");
    const { page } = opened;
    await page.getByRole("row", { name: /BRD2/ }).waitFor();
    await page.emulateMedia({ media: "print" });
    expect(await page.getByRole("navigation").isVisible()).toBe(false);
    for (const mark of ["BRD2", "BRD5"]) expect(await page.getByRole("row", { name: mark }).isVisible()).toBe(true);
    await opened.context.close();
  });
});
