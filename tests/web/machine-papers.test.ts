// A manager at a machine's papers: what counts until when, what an ending leads to before it is done, and the machine's standing after.
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { Defect } from "../../shared/contracts/defects.ts";
import type { Paper } from "../../shared/contracts/papers.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { secretOf } from "../support/cast.ts";
import { plainPicture } from "../support/pictures.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import {
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPage,
  openPageAs,
  phone,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";

describeInBrowser("the papers of a machine", () => {
  const { app, as } = testPages();

  // The clock stands at 2026-07-13.
  const add = async (machineId: string, paper: object): Promise<Paper> =>
    expectAnswer((await as("F001")).post(`/v1/machines/${machineId}/papers`).send(paper), 201);
  const ran = { kind: "insurance", number: "P-7781", validFrom: "2025-07-13", validTo: "2026-07-12" };
  const mistyped = { kind: "insurance", number: "P-9120", validFrom: "2026-07-13", validTo: "2036-07-12" };
  const mot = { kind: "roadworthiness-test", number: "T-1", validFrom: "2026-01-01", validTo: "2026-12-31" };

  async function openStory(who: string, machineId: string, options: object): Promise<{ page: Page; end: () => Promise<void> }> {
    const opened = await openPageAs(app, who, options);
    await opened.page.goto(`/#/bench/machine/${machineId}`);
    await opened.page.locator(".paper").first().waitFor();
    const end = async () => {
      expectQuiet(opened);
      await opened.context.close();
    };
    return { page: opened.page, end };
  }

  test("a mistyped insurance is ended with the keyboard alone: what will follow is said before, the standing after", async () => {
    const machineId = await addTestMachine(app, { mark: "PAPER1" });
    await add(machineId, ran);
    await add(machineId, mistyped);
    await add(machineId, mot);
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);

    const { page, end } = await openStory("F001", machineId, smallest);
    const papers = page.locator(".machine-papers");
    await papers.getByText("Ran out on Sun 12 Jul.").waitFor();
    await papers.getByText("compare the year with the paper itself").waitFor();
    await expectSound(page, "papers, smallest");
    const button = papers.getByRole("button", { name: "End Insurance P-9120" });
    await button.focus();
    await page.keyboard.press("Enter");
    const form = papers.locator("form").first();
    // A cancellation of today, as it stands at first.
    await form.getByText("Insurance: none counts today. PAPER1 will not be cleared from now on").waitFor();
    await form.getByText("Cancelled", { exact: true }).waitFor();
    expect(await form.getByText("Test failed").count()).toBe(0);
    await form.getByRole("radio", { name: "Cancelled" }).focus();
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("ArrowDown");
    expect(await form.getByRole("radio", { name: "Entered by mistake" }).isChecked()).toBe(true);
    expect(await form.getByLabel("First day on which it no longer counts").count()).toBe(0);
    await form.getByLabel("Note").fill("2036 is 2026");
    await expectSound(page, "ending a paper, smallest");
    await shoot(page, "papers-ending-smallest");
    await form.getByRole("button", { name: "End it" }).focus();
    await page.keyboard.press("Enter");
    await papers.getByText("Insurance P-9120 is ended.").waitFor();
    await papers.getByText("Entered by mistake, counts for nothing.").waitFor();
    await page.locator(".outcome").getByText("Papers expired").waitFor();
    await papers.getByText("Ending recorded by Person F001").waitFor();
    await page.getByText("A paper of the machine was ended").waitFor();
    await expectSound(page, "papers after an ending, smallest");
    await shoot(page, "papers-after-smallest");
    expect((await onBoard(as, machineId)).standing).toBe("papers-expired");
    await end();
  });

  test("a failed test and an ending of a day to come say what they do; who does not manage sees the papers and ends none", async () => {
    const machineId = await addTestMachine(app, { mark: "PAPER2" });
    await add(machineId, { ...ran, validTo: "2026-12-31" });
    await add(machineId, mot);
    const { page, end } = await openStory("F001", machineId, desk);
    const papers = page.locator(".machine-papers");
    await papers.getByRole("button", { name: "End Insurance P-7781" }).click();
    const form = papers.locator("form").first();
    await form.getByLabel("First day on which it no longer counts").fill("2026-08-01");
    await form.getByText("PAPER2 can be cleared until Fri 31 Jul. From Sat 1 Aug on it will not be cleared").waitFor();
    await form.getByRole("button", { name: "End it" }).click();
    await papers.getByText("Counts until Fri 31 Jul, then no more: cancelled.").waitFor();

    await papers.getByRole("button", { name: "End Roadworthiness test T-1" }).click();
    await form.getByRole("radio", { name: "Test failed" }).check();
    await form.getByText("PAPER2 will be grounded from now on, until a test that begins on Mon 13 Jul or later is recorded.").waitFor();
    await expectSound(page, "a failed test, desk");
    await shoot(page, "papers-failed-desk");
    await form.getByRole("button", { name: "End it" }).click();
    await page.locator(".outcome").getByText("Roadworthiness test failed on").waitFor();
    expect((await onBoard(as, machineId)).standing).toBe("grounded");

    await page.getByText("Record a paper").click();
    const adding = papers.locator("details form");
    await adding.getByLabel("What is it?").selectOption("roadworthiness-test");
    await adding.getByLabel("Number").fill("T-2");
    await adding.getByLabel("First day").fill("2026-07-13");
    await adding.getByLabel("Last day").fill("2036-07-12");
    await adding.getByText("That is 10 years.").waitFor();
    await adding.getByLabel("What the examiner advised").fill("Rear tyre close to the limit\n\n  Light corrosion at the stand ");
    const picture = await plainPicture("jpeg");
    await adding.locator("input[type=file]").setInputFiles({ name: "t2.jpg", mimeType: "image/jpeg", buffer: picture });
    await adding.getByText("Photos: 1").waitFor();
    await expectSound(page, "recording a paper, desk");
    await shoot(page, "papers-adding-desk");
    await adding.getByRole("button", { name: "Record it" }).click();
    // The browser asks for the tick; nothing was sent.
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    await adding.getByLabel("Last day").fill("2027-07-12");
    await adding.getByRole("button", { name: "Record it" }).click();
    await papers.getByText("Roadworthiness test T-2 is recorded.").waitFor();
    await page.locator(".outcome").getByText("Not checked").or(page.locator(".outcome").getByText("Unchecked")).waitFor();
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    await papers.locator(".photos img").waitFor();
    const advised = page.locator("section").filter({ has: page.getByRole("heading", { name: "Advisories" }) });
    expect(await advised.locator(".job").count()).toBe(2);
    await expectSound(page, "a paper with its picture, desk");
    await shoot(page, "papers-picture-desk");
    const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId }), 200);
    expect(items.map(({ category, note }: Defect) => [category, note]).sort()).toEqual([
      ["advisory", "Light corrosion at the stand"],
      ["advisory", "Rear tyre close to the limit"],
    ]);
    await end();

    for (const who of ["M001", "A001"]) {
      const seen = await openStory(who, machineId, phone);
      expect(await seen.page.locator(".machine-papers button").count(), who).toBe(0);
      await seen.end();
    }
  });

  test("the papers speak German to who reads German", async () => {
    const machineId = await addTestMachine(app, { mark: "PAPER3" });
    const one = await add(machineId, { ...ran, validTo: "2026-12-31" });
    await add(machineId, mistyped);
    await expectAnswer((await as("F001")).post(`/v1/papers/${one.id}/ending`).send({ day: "2026-07-01", reason: "replaced" }), 201);
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page } = opened;
    await page.getByLabel("Personalnummer").fill("F001");
    await page.getByLabel("Kennwort").fill(secretOf("F001"));
    await page.getByRole("button", { name: "Anmelden" }).click();
    await page.goto(`/#/bench/machine/${machineId}`);
    const papers = page.locator(".machine-papers");
    await papers.getByRole("button", { name: "Versicherung P-9120 beenden" }).click();
    await papers.getByText("Ein Papier eintragen").click();
    await papers.getByText("Galt bis Di., 30. Juni: durch ein anderes ersetzt.").waitFor();
    await papers.getByText("Versicherung: heute gilt keine.").waitFor();
    await expectNoEnglish(page, "papers in German");
    await expectSound(page, "papers in German");
    await shoot(page, "papers-german");
    expectQuiet(opened);
    await opened.context.close();
  });
});
