// From where a check or an inspection is shown, its paper is one touch away.
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import {
  chooseLanguage,
  describeInBrowser,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  phone,
  shoot,
  testPages,
} from "./browser.ts";
import { checksOf, openAtTheMachine, sendWalk, walkRound } from "./rider.ts";

/** Takes the paper behind the link as whoever is signed in on this page. */
async function paperBehind(page: Page, name: string): Promise<{ path: string; answer: string }> {
  const link = page.getByRole("link", { name, exact: true });
  await link.waitFor();
  expect([await link.getAttribute("target"), await link.getAttribute("rel")]).toEqual(["_blank", "noopener"]);
  const path = (await link.getAttribute("href")) ?? "";
  const answer = await page.evaluate(async (address) => {
    const { status, headers } = await fetch(address);
    return `${status} ${headers.get("content-type")}`;
  }, path);
  return { path: path.replace(/\?.*/, ""), answer };
}
const taken = "200 application/pdf";

describeInBrowser("the papers of checks and inspections", () => {
  const { app, as } = testPages();

  test("a rider takes that of the check that the phone holds, and is offered none of one that waits here", async () => {
    const opened = await openAtTheMachine(app);
    const { page, mark, machineId } = opened;
    await page.getByRole("link", { name: mark }).click();
    await walkRound(page);
    await page.route("**/v1/daily-checks", (route) => route.abort());
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    expect(await page.getByRole("link", { name: "Your check (PDF)" }).count()).toBe(0);
    await page.getByRole("button", { name: "Done" }).click();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    expect(await page.getByRole("link", { name: "Your check (PDF)" }).count()).toBe(0);
    await page.unroute("**/v1/daily-checks");
    await page.reload();
    await page.getByText(`You are cleared to ride ${mark}`).waitFor();
    const held = await paperBehind(page, "Your check (PDF)");
    const [check] = await checksOf(app, machineId);
    expect(check?.decision).toBe("ride");
    expect(held.answer).toBe(taken);
    await expectSound(page, "cleared, with the paper of the check");
    await shoot(page, "walk-cleared-paper");
    await opened.context.close();
  });

  test("an auditor takes them at the record, and whoever reads a machine's story there, in German too", async () => {
    const machineId = await addTestMachine(app, { mark: "PAPER1" });
    const { check } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    const inspection = inspectionOf(app, machineId);
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspection), 201);
    const opened = await openPageAs(app, "A001");
    const { page } = opened;
    for (const [id, room] of [
      [check.id, "daily-checks"],
      [inspection.id, "weekly-inspections"],
    ]) {
      await page.goto(`/#/audit/record/${id}`);
      await page.getByText(id, { exact: false }).first().waitFor();
      expect(await paperBehind(page, "As a paper (PDF)")).toEqual({ path: `/v1/${room}/${id}/report.pdf`, answer: taken });
    }
    await page.goto(`/#/bench/machine/${machineId}`);
    const links = page.getByRole("link", { name: "paper (PDF)", exact: true });
    await links.first().waitFor();
    const addresses = await links.evaluateAll((all) => all.map((one) => one.getAttribute("href")?.replace(/\?.*/, "")));
    expect(addresses).toContain(`/v1/daily-checks/${check.id}/report.pdf`);
    expect(addresses).toContain(`/v1/weekly-inspections/${inspection.id}/report.pdf`);
    await expectSound(page, "story with its papers");
    await chooseLanguage(page, "de");
    await page.reload();
    await page.getByRole("link", { name: "Papier (PDF)", exact: true }).first().waitFor();
    await expectNoEnglish(page, "story with its papers");
    const papers = await page.locator('a[href*=".pdf"]').evaluateAll((all) => all.map((one) => one.getAttribute("href") ?? ""));
    expect(papers.length).toBeGreaterThan(2);
    expect(papers.filter((address) => !/[?&]lang=de$/.test(address))).toEqual([]);
    await page.goto(`/#/audit/record/${check.id}`);
    await page.getByRole("link", { name: "Als Papier (PDF)" }).waitFor();
    await expectSound(page, "record with its paper");
    await shoot(page, "audit-record-paper");
    expectQuiet(opened);
    await opened.context.close();
  });

  test("on a phone the story's papers run out of no line", async () => {
    const machineId = await addTestMachine(app, { mark: "PAPER2" });
    const opened = await openPageAs(app, "M001", phone);
    await opened.page.goto(`/#/bench/machine/${machineId}`);
    await opened.page.getByRole("link", { name: "paper (PDF)", exact: true }).first().waitFor();
    await expectSound(opened.page, "story on a phone");
    await shoot(opened.page, "story-papers-phone");
    expectQuiet(opened);
    await opened.context.close();
  });
});
