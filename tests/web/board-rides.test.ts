// Who rides what, from the manager's board to the rider's phone.
import { beforeAll, expect, test } from "vitest";
import { addDays } from "../../shared/rules/calendar.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
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

describeInBrowser("who rides what", () => {
  const { app, as } = testPages();
  const machines: string[] = [];
  beforeAll(async () => {
    for (let count = 1; count <= 4; count += 1) machines.push(await addTestMachine(app, { mark: `RID${count}` }));
  });

  const today = () => app.context.clock.now().toISOString().slice(0, 10);
  const addressOf = (day: string) => `/v1/allocations/${app.cast.homeDepotId}/${day}`;
  const markOf = async (staffNumber: string, day = today()): Promise<string | undefined> => {
    const { allocations } = await expectAnswer((await as("F001")).get(addressOf(day)), 200);
    return allocations.find((line: { staffNumber: string }) => line.staffNumber === staffNumber)?.registrationMark;
  };

  test("the manager has it proposed, changes it by hand and keeps it; the rider reads it on the phone, without a signal too", async () => {
    const opened = await openPageAs(app, "F001", phone);
    const { page } = opened;
    await page.getByLabel("Depot").selectOption({ label: "Home" });
    await page.getByRole("button", { name: "All of them" }).click();
    await page.getByRole("button", { name: "Give them machines" }).click();
    const row = page.getByRole("row", { name: /Person R001/ });
    await row.getByRole("button").waitFor();
    await page.getByText("Not kept yet").waitFor();
    // By keyboard alone: the button, then the list, then away from it.
    await row.getByRole("button").focus();
    await page.keyboard.press("Enter");
    const list = page.getByLabel("Machine: Person R001");
    await list.selectOption({ label: "RID4" });
    await expectSound(page, "another machine is chosen");
    await list.press("Tab");
    await row.getByRole("button", { name: /RID4/ }).waitFor();
    await expectSound(page, "a plan that is not kept");
    await shoot(page, "board-rides-plan");
    expect(await markOf("R001")).toBeUndefined();
    await page.getByRole("button", { name: "Keep who rides what" }).click();
    await page.getByText(/^Kept by Person F001/).waitFor();
    await page.getByRole("row", { name: /Person R001 R001 RID4 Unchecked/ }).waitFor();
    await expectSound(page, "what is kept");
    await shoot(page, "board-rides-kept");
    expect(await markOf("R001")).toBe("RID4");

    const rider = await openPageAs(app, "R001", { ...phone, serviceWorkers: "allow" });
    await rider.page.getByRole("heading", { name: "Today you ride" }).waitFor();
    await rider.page.evaluate(() => navigator.serviceWorker.ready);
    const first = rider.page.getByRole("listitem").first().getByRole("link");
    expect(await first.textContent()).toContain("RID4");
    await expectSound(rider.page, "the rider's list with what they ride");
    await shoot(rider.page, "walk-rides");

    // Another machine is kept: the phone hears of it by itself.
    await expectAnswer(
      (await as("F001")).put(addressOf(today())).send({ allocations: [{ staffId: app.cast.staffId("R001"), machineId: machines[2] }] }),
      200,
    );
    await first.getByText("RID3").waitFor();
    await page.getByRole("row", { name: /Person R001 R001 RID3/ }).waitFor();
    await rider.context.setOffline(true);
    await rider.page.reload();
    await rider.page.getByRole("heading", { name: "Today you ride" }).waitFor();
    expect(await first.textContent()).toContain("RID3");
    await rider.context.close();
    expectQuiet(opened);
    await opened.context.close();
  });

  test("what was kept meanwhile is not replaced unseen, and a machine that somebody else rides is marked", async () => {
    const opened = await openPageAs(app, "F001", { ...phone, colorScheme: "dark" });
    const { page } = opened;
    await page.getByLabel("Depot").selectOption({ label: "Home" });
    await page.getByRole("button", { name: "Change by hand" }).waitFor();
    await page.getByText("0 of 2 riders ride today").click();
    await page.getByRole("button", { name: "All of them" }).click();
    await page.getByRole("button", { name: "Change by hand" }).click();
    const row = page.getByRole("row", { name: /Person R002/ });
    await row.getByRole("button", { name: /No machine/ }).click();
    await page.getByLabel("Machine: Person R002").selectOption({ label: "RID1" });
    await page.getByLabel("Machine: Person R002").press("Tab");
    await expectAnswer((await as("F001")).put(addressOf(today())).send({ allocations: [] }), 200);
    await page.getByRole("button", { name: "Keep who rides what" }).click();
    await page.getByText(/Somebody changed this since you read it/).waitFor();

    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, machines[0] ?? "")), 201);
    await page.getByRole("button", { name: "Keep who rides what" }).click();
    await page.getByText("Not like this").waitFor();
    await expectSound(page, "a line that is refused");
    await shoot(page, "board-rides-refused-dark");
    await row.getByRole("button").click();
    await page.getByLabel("Machine: Person R002").selectOption({ label: "RID2" });
    await page.getByLabel("Machine: Person R002").press("Tab");
    await page.getByRole("button", { name: "Keep who rides what" }).click();
    await page.getByRole("row", { name: /Person R002 R002 RID2/ }).waitFor();
    expect(await markOf("R002")).toBe("RID2");
    await opened.context.close();
  });

  test("a day to come is kept the evening before, and both pages say all of it in German", async () => {
    const tomorrow = addDays(today(), 1);
    const lines = [{ staffId: app.cast.staffId("R001"), machineId: machines[1] }];
    await expectAnswer((await as("F001")).put(addressOf(tomorrow)).send({ allocations: lines }), 200);
    await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machines[1] ?? "", "horn.silent")), 201);
    const opened = await openPageAs(app, "F001", phone);
    const { page } = opened;
    await chooseLanguage(page, "de");
    await page.reload();
    await page.getByLabel("Standort").selectOption({ label: "Home" });
    await page.getByLabel("Tag", { exact: true }).fill(tomorrow);
    await page.getByRole("row", { name: /Person R001 R001 RID2 Gesperrt/ }).waitFor();
    await expectNoEnglish(page, "what is kept for tomorrow");
    await page.getByRole("button", { name: "Von Hand ändern" }).click();
    await page.getByText("Noch nicht festgehalten").waitFor();
    await expectNoEnglish(page, "a plan that is not kept");
    expectQuiet(opened);
    await opened.context.close();

    app.context.clock.advance(86_400_000);
    const rider = await openPageAs(app, "R001", phone);
    await chooseLanguage(rider.page, "de");
    await rider.page.reload();
    await rider.page.getByRole("heading", { name: "Heute fahren Sie" }).waitFor();
    expect(await rider.page.getByRole("listitem").first().textContent()).toMatch(/RID2.*Gesperrt/);
    await expectNoEnglish(rider.page, "the rider's list");
    await rider.context.close();
  });
});
