// Before the walk: what stands against the machine and since when, with another machine as the main way; what is known, what was put right,
// and who else looked today. Nobody walks round eight stations to be told what was known before the first.
import { randomUUID } from "node:crypto";
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import {
  describeInBrowser,
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
import { allWell, answerStation, checksOf, sendWalk, walkRound } from "./rider.ts";

describeInBrowser("before the walk", () => {
  const { app, as } = testPages();
  const marks = {
    grounded: "WWWGROUNDED1",
    fresh: "NEW1",
    gone: "GONE1",
    papers: "PAPERS1",
    minor: "MINOR1",
    mended: "MENDED1",
    both: "CHECKED1",
  };
  const ids: Record<string, string> = {};

  beforeAll(async () => {
    for (const [name, mark] of Object.entries(marks)) ids[name] = await addTestMachine(app, { mark, inspected: name !== "fresh" });
    const seen = async (name: string, what: string) =>
      (await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, ids[name] ?? "", what)), 201)).defect.id as string;
    await seen("grounded", "front-brake-cable.frayed");
    await seen("grounded", "horn.weak");
    await seen("minor", "horn.weak");
    const gone = { withdrawn: { reason: "Sold to the scrapyard on the hill" } };
    await expectAnswer((await as("F001")).patch(`/v1/machines/${ids["gone"]}`).send(gone), 200);
    const paper = { kind: "insurance", number: "P-1", validFrom: "2026-01-01", validTo: "2026-07-10" };
    await expectAnswer((await as("F001")).post(`/v1/machines/${ids["papers"]}/papers`).send(paper), 201);
    const mended = await seen("mended", "horn.weak");
    await expectAnswer((await as("M001")).post(`/v1/defects/${mended}/repairs`).send(repairOf(app)), 201);
    await expectAnswer((await as("M002")).post(`/v1/defects/${mended}/sign-off`).send({ id: randomUUID(), statement: "Gone" }), 201);
    await expectAnswer((await as("R002")).post("/v1/daily-checks").send(nilCheckOf(app, ids["both"] ?? "")), 201);
    app.context.clock.advance(11 * 60_000);
  });

  const choose = async (page: Page, mark: string) => {
    await page.goto("/#/walk");
    await page.getByLabel("Registration mark").fill(mark);
    await page.getByRole("link", { name: mark }).click();
  };

  test("a grounded machine says what stands against it and since when, and the main way leads to another; a check is taken and clears nobody", async () => {
    const opened = await openPageAs(app, "R001", phone);
    const { page, context } = opened;
    await choose(page, marks.grounded);
    await page.getByRole("heading", { name: "Grounded" }).waitFor();
    await page.getByText("Dangerous defect: Front brake and its cable").waitFor();
    await page.getByText("Seen 13 Jul, 05:30: Cable frayed: a strand is broken").waitFor();
    await page.getByRole("heading", { name: "Known, and may be ridden" }).waitFor();
    await page.getByText("It will not clear this machine.").waitFor();
    await expectSound(page, "before a grounded machine");
    await shoot(page, "walk-before-grounded");
    expect(await page.locator(".thumb .main").textContent()).toBe("Another machine");
    await page.getByRole("button", { name: "Another machine" }).click();
    await page.getByRole("heading", { name: "Which machine?" }).waitFor();
    await choose(page, marks.grounded);
    await page.getByRole("button", { name: "Check it all the same" }).click();
    await page.getByText("It may not be ridden now, and this check will not clear it").waitFor();
    await expectSound(page, "a walk round a grounded machine");
    await shoot(page, "walk-against");
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    expect((await checksOf(app, ids["grounded"] ?? "")).map(({ decision }) => decision)).toEqual(["do-not-ride"]);
    expectQuiet(opened);
    await context.close();
  });

  test("a new one, one withdrawn and one whose insurance ran out say so before the first station, in both languages", async () => {
    for (const [locale, said] of [
      ["en-GB", ["New here: a weekly inspection is due", "Withdrawn from service since", "Insurance ran out on"]],
      ["de-DE", ["Neu hier", "Sold to the scrapyard", "Versicherung"]],
    ] as const) {
      const opened = await openPage(app, { ...smallest, locale });
      const { page, context } = opened;
      await page.locator("input[name=number]").fill("R001");
      await page.locator("input[name=secret]").fill("test-R001");
      await page.locator("button[type=submit]").click();
      await page.locator(".machines").waitFor();
      for (const [index, name] of (["fresh", "gone", "papers"] as const).entries()) {
        await page.goto(`/#/walk/${marks[name]}`);
        await page
          .getByText(said[index] ?? "")
          .first()
          .waitFor();
        expect(await allWell(page).count()).toBe(0);
        if (locale === "de-DE" && name !== "gone") await expectNoEnglish(page, `before ${name}`);
        await expectSound(page, `before ${name}, ${locale}`);
        await shoot(page, `walk-before-${name}-${locale.slice(0, 2)}`);
      }
      await page.goto(`/#/walk/${marks.grounded}`);
      await page.locator(".before-standing").waitFor();
      if (locale === "de-DE") await expectNoEnglish(page, "before a grounded machine");
      await expectSound(page, `before a grounded machine, ${locale}, smallest`);
      await shoot(page, `walk-before-grounded-${locale.slice(0, 2)}-smallest`);
      expectQuiet(opened);
      await context.close();
    }
  });

  test("a known minor defect is shown before the walk and at its item, and 'still the same' is a sighting that makes it no worse", async () => {
    const opened = await openPageAs(app, "R001", phone);
    const { page, context } = opened;
    await choose(page, marks.minor);
    await page.getByRole("heading", { name: "Known, and may be ridden" }).waitFor();
    await page.getByText("Known since Mon 13 Jul.", { exact: false }).waitFor();
    await page.getByText("To be put right by", { exact: false }).waitFor();
    await expectSound(page, "before a machine with a minor defect");
    await shoot(page, "walk-before-minor");
    await page.getByRole("button", { name: "Walk round it" }).click();
    await allWell(page).waitFor();
    const known = page.locator(".item-known");
    while (!(await known.isVisible())) await answerStation(page);
    await page.locator(".item", { has: known }).click();
    await page.getByText("Is it still the same?").waitFor();
    await expectSound(page, "a known defect at its item");
    await shoot(page, "walk-known-item");
    await page.getByRole("button", { name: "Still the same" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride, with these defects" }).waitFor();
    await page.getByText("Sent. The service has it.").waitFor();
    const { items } = await expectAnswer((await as("F001")).get("/v1/defects").query({ machineId: ids["minor"] }), 200);
    expect(items.map(({ category, sightings }: { category: string; sightings: number }) => ({ category, sightings }))).toEqual([
      { category: "minor", sightings: 2 },
    ]);
    expectQuiet(opened);
    await context.close();
  });

  test("what was put right since it was last cleared is told with the name that signed it, before the walk and with the answer", async () => {
    const { page, context } = await openPageAs(app, "R001", phone);
    await choose(page, marks.mended);
    await page.getByText(/repaired, signed off by Person M002, 13 Jul, 05:30/).waitFor();
    await expectSound(page, "before a machine that was put right");
    await shoot(page, "walk-before-mended");
    await page.getByRole("button", { name: "Walk round it" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    await page.getByText(/repaired, signed off by Person M002/).waitFor();
    await expectSound(page, "an answer that tells what was put right");
    await shoot(page, "walk-answer-mended");
    await context.close();
  });

  test("another's check is no clearance of one's own: the list says so, the machine says so, and the service says so", async () => {
    const { page, context } = await openPageAs(app, "R001", phone);
    const link = page.getByRole("link", { name: marks.both });
    await link.getByText("checked by somebody else at 05:30, not by you").waitFor();
    await link.click();
    await page.getByText("That clears them, not you: your own check is still needed.").waitFor();
    await page.getByRole("button", { name: "Walk round it" }).click();
    await walkRound(page);
    await sendWalk(page);
    await page.getByText("Sent. The service has it.").waitFor();
    await page.getByRole("button", { name: "Done" }).click();
    await link.getByText(/cleared for you until/).waitFor();
    const mine = async (who: string) => (await expectAnswer((await as(who)).get(`/v1/machines/${ids["both"]}`), 200)).yourClearance;
    expect([(await mine("R001"))?.decision, (await mine("R002"))?.decision, await mine("M001")]).toEqual(["ride", "ride", null]);
    await context.close();
  });

  test("one that is over its inspection says so, and since which day", async () => {
    app.context.clock.advance(8 * 86_400_000);
    const { page, context } = await openPageAs(app, "R001", phone);
    await choose(page, marks.both);
    await page.getByRole("heading", { name: "Inspection overdue" }).waitFor();
    await page.getByText("Weekly inspection was due by Mon 20 Jul").waitFor();
    expect(await page.locator(".thumb .main").textContent()).toBe("Another machine");
    await context.close();
  });
});
