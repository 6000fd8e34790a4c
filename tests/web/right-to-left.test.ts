// Names and notes that are written from right to left, on pages that are not.
import { beforeAll, expect, test } from "vitest";
import { reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { describeInBrowser, expectQuiet, expectSound, openPageAs, shoot, testPages } from "./browser.ts";

describeInBrowser("from right to left", () => {
  const name = "\u05d9\u05e2\u05e7\u05d1 \u05db\u05d4\u05df";
  const note = "\u05d4\u05d1\u05dc\u05dd \u05d4\u05e7\u05d3\u05de\u05d9 \u05e0\u05e9\u05d7\u05e7 3.";
  const { app, as } = testPages();
  beforeAll(async () => {
    await app.context.db.prisma.staff.update({ where: { staffNumber: "M001" }, data: { name } });
  });

  test("a name turns no line over, and a note is read and written from its own side", async () => {
    const machineId = await addTestMachine(app, { mark: "RTL1" });
    const told = await (await as("R001")).post("/v1/defects").send({ ...reportOf(app, machineId, "x"), observationIds: [], note });
    expect(told.status, told.text).toBe(201);
    const opened = await openPageAs(app, "M001");
    const { page } = opened;
    await page.goto(`/#/bench/defect/${told.body.defect.id}`);
    const said = page.locator(".said", { hasText: note });
    await said.waitFor();
    const directionOf = (selector: string) =>
      page
        .locator(selector)
        .first()
        .evaluate((element) => getComputedStyle(element).direction);
    expect(await directionOf(".said")).toBe("rtl");
    expect(await directionOf("main")).toBe("ltr");
    await page.getByRole("button", { name }).click();
    // The name, then the role: in a line that the name had turned over the role would stand on its left.
    const places = await page.locator("dialog p", { hasText: name }).evaluate((line) => {
      const edges = (node: Node | null | undefined) => {
        const range = document.createRange();
        if (node) range.selectNodeContents(node);
        return range.getBoundingClientRect();
      };
      return { name: edges(line.firstChild).right, role: edges(line.lastChild).right };
    });
    expect(places.role).toBeGreaterThan(places.name);
    await expectSound(page, "settings of somebody with a Hebrew name");
    await shoot(page, "right-to-left");
    expectQuiet(opened);
    await opened.context.close();
  });
});
