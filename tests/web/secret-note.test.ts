// Where a course is shown, what was signed within a day after another person had set the signer's secret says so, in both languages.
import { beforeAll, expect, test } from "vitest";
import { secretOf } from "../support/cast.ts";
import { type SignedByAnother, signAsAnother } from "../support/impostor.ts";
import {
  describeInBrowser,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPage,
  openPageAs,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";

describeInBrowser("a secret that another person had set", () => {
  const { app, as } = testPages();
  let signed: SignedByAnother;
  beforeAll(async () => {
    signed = await signAsAnother(app, as);
  });

  test("stands in the course at the bench beside the sign-off alone, in the machine's story, and on the auditor's page of the record", async () => {
    const opened = await openPageAs(app, "A001");
    const { page } = opened;
    await page.goto(`/#/bench/defect/${signed.defectId}`);
    const note = page.getByText("whoever signed this chose a secret, with a code that Person F001 (F001) had set");
    await note.waitFor();
    expect(await note.count()).toBe(1);
    expect(await page.locator("ol.course > li", { has: note }).textContent()).toContain("signed the defect off");
    await expectSound(page, "course with the note");
    await shoot(page, "secret-note-course");
    await page.goto(`/#/bench/machine/${signed.machineId}`);
    await note.first().waitFor();
    expect(await note.count()).toBe(2);
    await page.goto(`/#/audit/record/${signed.inspectionId}`);
    await page.getByText("Proof").first().waitFor();
    await note.waitFor();
    await expectSound(page, "record with the note");
    await shoot(page, "secret-note-record");
    expectQuiet(opened);
    await opened.context.close();
  });

  test("is said in German, at 320 px", async () => {
    const opened = await openPage(app, { ...smallest, locale: "de-DE" });
    const { page } = opened;
    await page.getByLabel("Personalnummer").fill("A001");
    await page.getByLabel("Kennwort").fill(secretOf("A001"));
    await page.getByRole("button", { name: "Anmelden" }).click();
    await page.getByRole("navigation").waitFor();
    await page.goto(`/#/bench/defect/${signed.defectId}`);
    await page.getByText("mit einem Code, den Person F001 (F001) am").waitFor();
    await expectSound(page, "course with the note in German");
    await expectNoEnglish(page, "course with the note");
    await shoot(page, "secret-note-course-german");
    expectQuiet(opened);
    await opened.context.close();
  });
});
