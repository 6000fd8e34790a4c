// Two weeks of a depot as ordinary weeks go, lived on the pages: air put in, a part on order, a fall, another workshop, a campaign, a test with
// an advisory, a sale, a shift over midnight. Then all of it is read back: board, records, papers, costs, and a pack that verifies.
import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { HistoryEntry } from "../../shared/contracts/fleet.ts";
import { word } from "../../shared/words/index.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { packOf, zipOf } from "../support/packs.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { describeInBrowser, desk, expectQuiet, openPageAs, phone, shoot, testPages } from "./browser.ts";
import { answerStation, sendWalk, walkRound } from "./rider.ts";

const HOUR_MS = 3_600_000;

describeInBrowser("two weeks of a depot", () => {
  const { app, as } = testPages();

  /** The clock goes on to that hour of that day of July 2026, in UTC, an hour behind the depot's. */
  const goTo = (day: number, hour: number): void => {
    const at = Date.UTC(2026, 6, day, hour);
    app.context.clock.advance(at - app.context.clock.now().getTime());
  };
  const dayOf = (day: number): string => `2026-07-${String(day).padStart(2, "0")}`;
  /** Does something on a page as somebody, in a browser of its own. */
  async function on(who: string, size: typeof phone | typeof desk, path: string, act: (page: Page) => Promise<void>): Promise<void> {
    const opened = await openPageAs(app, who, size);
    await opened.page.goto(`/#/${path}`);
    await act(opened.page);
    expectQuiet(opened);
    await opened.context.close();
  }
  const choose = async (page: Page, mark: string): Promise<void> => {
    await page.getByLabel("Registration mark").fill(mark);
    await page.getByRole("link", { name: mark }).first().click();
    const begin = page.getByRole("button", { name: "Walk round it" });
    await page.locator(".station, .day-item").or(begin).first().waitFor();
    if (await begin.isVisible()) await begin.click();
  };
  /** Walks to the station with this item and opens it. */
  async function openItem(page: Page, itemId: string): Promise<void> {
    const item = page.locator(`[data-item="${itemId}"]`);
    for (;;) {
      await page.locator(".station, .day-item").waitFor();
      if ((await item.count()) > 0) break;
      await answerStation(page);
    }
    await item.click();
  }
  const api = async (who: string, path: string, body: object, status = 201) => expectAnswer((await as(who)).post(path).send(body), status);
  const get = async (who: string, path: string) => expectAnswer((await as(who)).get(path), 200);
  const nilCheck = async (who: string, machineId: string) => api(who, "/v1/daily-checks", nilCheckOf(app, machineId));

  test("everything that came up is recorded, believed and acted on, and a pack of it verifies", async () => {
    const [air, cable, fell] = ["LIFE1", "LIFE2", "LIFE3"];
    const airId = await addTestMachine(app, { mark: air });
    const cableId = await addTestMachine(app, { mark: cable });
    const fellId = await addTestMachine(app, { mark: fell });
    await expectAnswer((await as("F001")).patch("/v1/policy").send({ currency: "EUR", hourlyRateMinor: 6000 }), 200);

    // Monday to Wednesday: the same tyre takes air each morning, which is a question on the third. On the phone once, then as a phone sends it.
    goTo(13, 5);
    await on("R001", phone, "walk", async (page) => {
      await choose(page, air);
      await openItem(page, "front-tyre-pressure");
      const dialog = page.getByRole("dialog");
      await dialog.getByRole("checkbox", { name: "A little softer than usual" }).check();
      await dialog.getByRole("checkbox", { name: "I have put it right here" }).check();
      await dialog.getByRole("textbox", { name: /Front tyre pressure/ }).fill("175");
      await dialog.getByRole("button", { name: "Done here" }).click();
      await walkRound(page);
      await sendWalk(page);
      await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    });
    const [{ answers }] = (await get("F001", `/v1/daily-checks?machineId=${airId}`)).items;
    const pumped = answers.find(({ itemId }: { itemId: string }) => itemId === "front-tyre-pressure");
    const { itemId, result, observationIds, reading } = pumped;
    for (const day of [14, 15]) {
      goTo(day, 5);
      const check = nilCheckOf(app, airId);
      const again = check.answers.map((answer) => (answer.itemId === itemId ? { itemId, result, observationIds, reading } : answer));
      expect((await api("R001", "/v1/daily-checks", { ...check, answers: again })).clearance.decision).toBe("ride");
    }
    await on("M001", desk, "bench", async (page) => {
      await page.getByText("Riders have put it right 3 times", { exact: false }).waitFor();
      await shoot(page, "weeks-bench-question");
    });

    // Tuesday's find at the second machine came late; a part has to be ordered.
    await on("R002", phone, "walk", async (page) => {
      await choose(page, cable);
      await openItem(page, "front-brake-cable");
      await page
        .getByRole("dialog")
        .getByRole("checkbox", { name: word("observation.front-brake-cable.frayed") })
        .check();
      await page.getByRole("dialog").getByRole("button", { name: "Done here" }).click();
      await walkRound(page);
      await sendWalk(page);
      await page.getByRole("heading", { name: "Do not ride" }).waitFor();
    });
    const [found] = (await get("M001", `/v1/defects?machineId=${cableId}`)).items;
    await on("M001", desk, `bench/defect/${found.id}`, async (page) => {
      await page.getByRole("radio", { name: "Wait for a part" }).check();
      await page.getByLabel("What it waits for").fill("Front brake cable");
      await page.getByLabel(/^Expected on/).fill(dayOf(17));
      await page.getByLabel("Why it waits").fill("None on the shelf");
      await page.getByRole("button", { name: "Let it wait" }).click();
      await page.getByText("Waiting for Front brake cable", { exact: false }).first().waitFor();
    });

    // Wednesday, wet: the third machine goes down, and leaves for another workshop.
    await on("R002", phone, "walk", async (page) => {
      await page.getByLabel("Registration mark").fill(fell);
      await page.getByRole("link", { name: fell }).first().click();
      await page.getByRole("link", { name: "It fell" }).click();
      await page.getByRole("radio", { name: "Slid and went down" }).check();
      await page.getByRole("checkbox", { name: "Fork" }).check();
      await page.getByRole("button", { name: "Send" }).click();
      await page.getByText("Sent. The service has it.").waitFor();
    });
    await on("F001", desk, `bench/machine/${fellId}`, async (page) => {
      await page.getByText(word("outside.send"), { exact: true }).click();
      await page.getByLabel(word("outside.workshop")).fill("Harbour Street");
      await page.getByLabel(word("outside.reason")).fill("Fork bent");
      await page.getByLabel(word("outside.expected")).fill(dayOf(20));
      await page.getByRole("button", { name: word("outside.send.do") }).click();
      await page.getByRole("link", { name: word("outside.take-back") }).waitFor();
    });
    await on("F001", desk, "board", async (page) => {
      await page
        .getByRole("row", { name: new RegExp(cable) })
        .getByText("waiting for Front brake cable", { exact: false })
        .first()
        .waitFor();
      await page
        .getByRole("row", { name: new RegExp(fell) })
        .getByText("Harbour Street", { exact: false })
        .first()
        .waitFor();
      await shoot(page, "weeks-board-wednesday");
    });

    // Friday: the part is there. Two mechanics, and the next rider is told.
    goTo(17, 9);
    const wednesday = new Date(Date.UTC(2026, 6, 15, 22)).toISOString();
    await on("M001", desk, `bench/defect/${found.id}`, async (page) => {
      await page.getByLabel("What was done").fill("New front brake cable, greased and set");
      await page.getByLabel("Part", { exact: true }).fill("Front brake cable");
      await page.getByRole("button", { name: "Record the repair" }).click();
      await page.getByText("Somebody else has to do this").waitFor();
    });
    await on("M002", desk, `bench/defect/${found.id}`, async (page) => {
      await page.getByLabel("Front brake free travel (mm)").fill("25");
      await page.getByRole("button", { name: "I sign it off" }).click();
      await page.locator(".outcome").getByText("Unchecked").waitFor();
    });
    goTo(17, 12);
    await on("R002", phone, "walk", async (page) => {
      await page.getByLabel("Registration mark").fill(cable);
      await page.getByRole("link", { name: cable }).first().click();
      await page.getByText("signed off by Person M002", { exact: false }).waitFor();
      await shoot(page, "weeks-rider-told");
      await walkRound(page);
      await sendWalk(page);
      await page.getByRole("heading", { name: "Ride", exact: true }).waitFor();
    });

    // Monday: weekly inspections, and a maker's notice over the model.
    goTo(20, 6);
    for (const id of [airId, cableId]) await api("M001", "/v1/weekly-inspections", inspectionOf(app, id));
    await on("F001", desk, "bench/campaigns", async (page) => {
      await page.getByText(word("campaigns.add"), { exact: true }).click();
      await page.getByLabel(word("campaigns.name"), { exact: true }).fill("Notice 7/26: fork clamp");
      await page.getByLabel(word("campaigns.job")).fill("Check the clamp bolt by hand, renew it where it turns");
      await page.getByLabel(word("campaigns.due"), { exact: true }).fill(dayOf(24));
      await page.getByRole("checkbox", { name: /Test model/ }).check();
      await page.getByRole("radio", { name: word("campaigns.grounds.false") }).check();
      await page.getByRole("button", { name: word("campaigns.add.do") }).click();
      await page.getByRole("heading", { level: 1, name: "Notice 7/26: fork clamp" }).waitFor();
      await shoot(page, "weeks-campaign");
    });
    const [campaign] = (await get("F001", "/v1/campaigns")).items;
    const { progress } = await get("F001", `/v1/campaigns/${campaign.id}`);
    const jobOf = (machineId: string): string => progress.find((one: { machineId: string }) => one.machineId === machineId).defectId;
    expect((await nilCheck("R001", airId)).clearance.decision).toBe("ride-with-defects");
    await on("M001", desk, `bench/defect/${jobOf(airId)}`, async (page) => {
      await page.getByLabel("What was done").fill("Clamp bolt renewed");
      await page.getByRole("button", { name: "Record the repair" }).click();
      await page.getByRole("button", { name: "I sign it off" }).click();
      await page.locator(".outcome").waitFor();
    });
    await on("M001", desk, `bench/defect/${jobOf(cableId)}`, async (page) => {
      await page.getByRole("radio", { name: word("bench.act.not-found") }).check();
      await page.getByLabel(word("bench.text.not-found")).fill("Tight");
      await page.getByRole("button", { name: word("bench.do.not-found") }).click();
      await page.locator(".outcome").waitFor();
    });

    // Tuesday: back from the other workshop with its invoice; inspected, its campaign job done, ridden.
    goTo(21, 9);
    const { reasons } = await onBoard(as, fellId);
    const workId = reasons.find(({ workId }) => workId !== undefined)?.workId ?? "";
    await on("M001", desk, `bench/outside/${workId}`, async (page) => {
      await page.getByLabel(word("outside.other")).fill("Fork straightened, stem bearings renewed");
      await page.getByRole("button", { name: word("outside.take-back.do") }).click();
      await page.getByText(word("outside.back.inspect")).waitFor();
    });
    goTo(21, 11);
    await api("M001", "/v1/weekly-inspections", inspectionOf(app, fellId));
    await api("M002", `/v1/defects/${jobOf(fellId)}/not-found`, { id: crypto.randomUUID(), reason: "Renewed by the other workshop" });
    goTo(21, 12);
    expect((await nilCheck("R002", fellId)).clearance.decision).toBe("ride");

    // Wednesday: a test, with a word of the examiner. Thursday: one machine is sold. Friday: a shift over midnight.
    goTo(22, 9);
    await on("F001", desk, `bench/machine/${airId}`, async (page) => {
      await page.getByText("Record a paper").click();
      const adding = page.locator(".machine-papers details form");
      await adding.getByLabel("What is it?").selectOption("roadworthiness-test");
      await adding.getByLabel("Number").fill("T-77");
      await adding.getByLabel("First day").fill(dayOf(22));
      await adding.getByLabel("Last day").fill("2027-07-21");
      await adding.getByLabel("What the examiner advised").fill("Front tyre valve old");
      await adding.getByRole("button", { name: "Record it" }).click();
      await page.getByText("Roadworthiness test T-77 is recorded.").waitFor();
    });
    goTo(23, 9);
    await on("F001", desk, `bench/machine/${cableId}`, async (page) => {
      await page.getByText(word("leave-fleet.say"), { exact: true }).click();
      await page.getByRole("button", { name: word("leave-fleet.do.sold") }).click();
      await page.locator(".outcome").getByText("Sold on", { exact: false }).waitFor();
    });
    const depot = `/v1/depots/${app.cast.homeDepotId}`;
    await expectAnswer((await as("F001")).patch(depot).send({ clearanceOverMidnight: true }), 200);
    goTo(24, 20);
    await nilCheck("R001", airId);
    app.context.clock.advance(4 * HOUR_MS);
    expect((await onBoard(as, airId)).standing).toBe("fit");

    // Read back.
    const then = (id: string) => onBoard(as, id, { at: wednesday });
    expect((await then(cableId)).reasons[0]).toMatchObject({ code: "grounding-defect", expectedDay: dayOf(17) });
    expect((await then(fellId)).reasons.map(({ code }) => code)).toEqual(["away", "fall-inspection", "unchecked"]);
    const { totals } = await get("A001", `/v1/campaigns/${campaign.id}`);
    expect(totals).toMatchObject({ machines: 3, done: 1, "nothing-found": 2, open: 0, late: 0 });
    const told = (await get("A001", `/v1/machines/${fellId}/history?limit=100`)).items as HistoryEntry[];
    expect(told.map(({ kind }) => kind)).toEqual(
      expect.arrayContaining(["machine-fell", "machine-sent-out", "machine-taken-back", "weekly-inspection", "defect-not-found"]),
    );
    const paper = await reportAt(await as("A001"), `/v1/machines/${fellId}/roadworthiness.pdf?from=${dayOf(13)}&to=${dayOf(24)}`);
    const text = paper.read.pages.join(" ").replace(/\s+/g, " ");
    for (const part of ["Harbour Street", "Fork straightened, stem bearings renewed", "Notice 7/26: fork clamp"])
      expect(text).toContain(part);
    const costs = await get("F001", `/v1/costs?from=${dayOf(13)}&to=${dayOf(24)}`);
    expect(costs.total).toMatchObject({ repairs: 2, stays: 1, isAtLeast: true });
    for (const id of [airId, cableId, fellId]) expect((await rebuildState(app.context.db, id))?.differences).toEqual([]);

    app.context.clock.advance(10 * 24 * HOUR_MS);
    const pack = await zipOf(await mkdtemp(join(tmpdir(), "ferrule-weeks-")), await packOf({ app, as }, { month: "2026-07" }, "A001"));
    expect(await verifyPack(pack)).toMatchObject({ holds: true });
  });
});
