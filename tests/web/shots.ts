// `npm run shots`: the pages as the people of the demo firm see them on a November morning, kept as pictures in the folder that SHOTS names.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, test } from "vitest";
import { foundDemoFirm, secretOf } from "../../seeds/index.ts";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { openServed, type Served } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { chainMachine } from "../support/machines.ts";
import { closeBrowserAfterwards, describeInBrowser, desk, openPage, phone, shoot, signInOn, smallest } from "./browser.ts";
import { answerStation, sendWalk } from "./rider.ts";

/** A Wednesday, twenty to seven at the quay. */
const morning = "2026-11-25T06:40:00.000Z";

describeInBrowser("pictures of the demo firm", () => {
  let app: Served;
  beforeAll(async () => {
    const context = await openTestContext(morning);
    await foundDemoFirm(context);
    app = await openServed(context);
    await takeCheckpoint(context);
  });
  afterAll(() => app.close());
  closeBrowserAfterwards();

  const as = async (number: string, size: Parameters<typeof openPage>[1]) => {
    const opened = await openPage(app, size);
    await signInOn(opened.page, number, secretOf(number));
    return opened;
  };
  const machineOf = async (mark: string): Promise<string> =>
    (await app.context.db.prisma.machine.findFirstOrThrow({ where: { registrationMark: mark }, select: { id: true } })).id;
  /** Chooses the machine and goes to its first station; of some there is something to tell before. */
  const begin = async (page: Page, mark: string) => {
    await page.getByRole("link", { name: mark }).first().click();
    const told = page.getByRole("button", { name: "Walk round it" });
    await page.locator(".station").or(told).first().waitFor();
    if (await told.isVisible()) await told.click();
    await page.locator(".station").waitFor();
  };

  /** As the window shows it: a bar that sticks to its edge would lie across the middle of a whole page. */
  const look = (page: Page, name: string) => shoot(page, name, false);
  /** As long as a practised rider takes: eight seconds a station, on the phone and at the service alike. */
  const walkInItsTime = async (page: Page) => {
    while ((await page.locator(".finish").count()) === 0) {
      await page.clock.fastForward(8_000);
      app.context.clock.advance(8_000);
      await answerStation(page);
      await page.locator(".station, .day-item, .finish").first().waitFor();
    }
  };
  /** Types the pressure of the rear tyre where that is the reading of the day, and says that the meter was read. */
  const readWhatIsAsked = async (page: Page, kPa: string) => {
    if ((await page.getByText("Rear tyre pressure (kPa)").count()) > 0)
      for (const key of kPa) await page.locator(".keys").getByRole("button", { name: key, exact: true }).click();
    const same = page.getByRole("button", { name: "It shows this" });
    if (await same.isVisible()) await same.click();
  };

  test("signing in", async () => {
    const { page, context } = await openPage(app, smallest);
    await page.getByRole("button", { name: "Sign in" }).waitFor();
    await look(page, "sign-in");
    await context.close();
  });

  test("a walk that finds nothing, and what is seen on the way after it", async () => {
    const { page, context } = await as("R010", phone);
    await page.getByRole("link", { name: "L3S6G2" }).first().waitFor();
    await look(page, "walk-choose");
    await begin(page, "L3S6G2");
    await look(page, "walk-station");
    await walkInItsTime(page);
    await readWhatIsAsked(page, "225");
    await page.evaluate(() => scrollTo(0, 0));
    await look(page, "walk-finish");
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await look(page, "walk-ride");
    await page.getByRole("button", { name: "Done" }).click();
    await page.locator(".cleared", { hasText: "L3S6G2" }).getByRole("link", { name: "Something is wrong with it" }).click();
    await page.getByText("Lights and horn").click();
    await page.getByRole("button", { name: "Stop lamp" }).click();
    await page.getByRole("dialog").getByRole("checkbox").last().check();
    await page.getByRole("button", { name: "Done here" }).click();
    await look(page, "walk-report");
    await context.close();
  });

  test("a cut in a tyre", async () => {
    const { page, context } = await as("R006", phone);
    await begin(page, "K5P3D9");
    await answerStation(page);
    await page.getByRole("button", { name: /Front tyre tread and walls/ }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("Cut in tread or wall").click();
    await dialog.getByLabel("In your own words").fill("Left wall, as long as a thumbnail");
    await look(page, "walk-item");
    await dialog.getByRole("button", { name: "Done here" }).click();
    await walkInItsTime(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    await look(page, "walk-do-not-ride");
    await context.close();
  });

  test("an answer without a signal", async () => {
    const { page, context } = await as("R013", phone);
    await page.getByRole("link", { name: "Z1E5H8" }).first().waitFor();
    await page.waitForLoadState("networkidle");
    await begin(page, "Z1E5H8");
    await context.setOffline(true);
    await walkInItsTime(page);
    await readWhatIsAsked(page, "240");
    await sendWalk(page);
    await page.getByText("Not sent yet. It is kept on this phone").waitFor();
    await look(page, "offline-answer");
    await context.close();
  });

  test("the bench", async () => {
    const { page, context } = await as("M001", desk);
    await page.getByRole("heading", { name: "What waits at the bench" }).waitFor();
    await page.getByRole("listitem").filter({ hasText: "K4M9T3" }).first().waitFor();
    await page.waitForLoadState("networkidle");
    await look(page, "bench-desk");
    await page.goto(`/#/bench/machine/${await machineOf("K4N1B7")}`);
    await page.getByRole("figure").first().waitFor();
    await page.getByRole("heading", { name: "What happened" }).waitFor();
    await page.waitForLoadState("networkidle");
    await page.getByRole("figure").filter({ hasText: "Chain slack" }).scrollIntoViewIfNeeded();
    await look(page, "bench-story-desk");
    const slack = itemsFor(chainMachine, "weekly").find(({ quantity }) => quantity === "chain-slack")?.id ?? "";
    await page.goto(`/#/bench/inspect/${await machineOf("L2R8F1")}/${slack}`);
    await page.getByText("Handbook:").waitFor();
    for (const key of "52") await page.locator(".keys").getByRole("button", { name: key, exact: true }).click();
    await page.getByText(/^Adjust now/).waitFor();
    await page.getByText(/^Adjust now/).evaluate((node) => node.scrollIntoView({ block: "center" }));
    await look(page, "bench-item-outside");
    await context.close();
  });

  test("a repair", async () => {
    const { page, context } = await as("M001", phone);
    await page.getByRole("listitem").filter({ hasText: "K4M9T3" }).first().getByRole("link").first().click();
    await page.getByRole("radio", { name: "Repair" }).check();
    await page.getByLabel("What was done").fill("New cable, lever and arm greased, free travel set");
    await page.getByLabel("Part", { exact: true }).fill("Front brake cable");
    await page.getByLabel("What was done").evaluate((node) => node.scrollIntoView({ block: "center" }));
    await look(page, "bench-repair");
    await context.close();
  });

  test("the morning board", async () => {
    const wide = await as("F001", desk);
    await wide.page.getByLabel("Depot").selectOption({ label: "Saltbriar Quay" });
    await wide.page.getByRole("heading", { name: "This week at the workshop" }).waitFor();
    await wide.page.waitForLoadState("networkidle");
    await look(wide.page, "board-depot-desk");
    await wide.context.close();
    const { page, context } = await as("F001", phone);
    await page.getByText("Live. Read at").waitFor();
    await look(page, "board-phone");
    await context.close();
  });

  test("the auditor's desk", async () => {
    const { page, context } = await as("A001", desk);
    await page.getByText("Choose a depot to see its machines day by day.").waitFor();
    await page.getByLabel("Depot").selectOption({ label: "Saltbriar Quay" });
    await page.getByRole("row", { name: /K4M9T2/ }).waitFor();
    await page.getByText("This browser keeps the newest one from now on").waitFor();
    await look(page, "audit-desk");
    await page.getByRole("button", { name: "Read the records" }).click();
    await page.getByText(/^\d[\d,]* records\.$/).waitFor();
    await page.getByLabel("Kind").selectOption({ label: "A defect was raised" });
    await page
      .getByRole("row", { name: /K4M9T3/ })
      .last()
      .getByRole("link")
      .click();
    await page.getByText("The proof holds.").waitFor();
    await page.getByText("The proof holds.").evaluate((node) => node.scrollIntoView({ block: "center" }));
    await look(page, "audit-record");
    await context.close();
  });
});
