// Advisories on the pages: they stand at the bench below what has a last day, and an inspection asks of each at its item how it is now.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { type WordKey, word } from "../../shared/words/speak.ts";
import { expectAnswer } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionFinding } from "../support/sheets.ts";
import {
  chooseLanguage,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  shoot,
  smallest,
  testPages,
} from "./browser.ts";

describeInBrowser("an advisory at the bench", () => {
  const { app, as } = testPages();

  test.each(["en", "de"] as const)(
    "is listed, asked about at its item, and the inspection is not signed before it is said (%s)",
    async (language) => {
      const said = (key: WordKey) => word(key, language);
      const mechanic = await as("M001");
      const machineId = await addTestMachine(app);
      app.context.clock.advance(60_000);
      const found = inspectionFinding(app, machineId, "load-mounting.scratched");
      const { defects } = await expectAnswer(mechanic.post("/v1/weekly-inspections").send(found), 201);
      const draft = { machineId, sheetVersion: SHEET_VERSION, revision: 0, odometerKm: 1010, answers: answersAsNew(testMachine) };
      await expectAnswer(mechanic.put(`/v1/weekly-inspections/drafts/${randomUUID()}`).send(draft), 200);
      app.context.clock.advance(60_000);

      const opened = await openPageAs(app, "M001", language === "en" ? desk : smallest);
      const { page, context } = opened;
      await chooseLanguage(page, language);
      await page.goto("/#/bench");
      await page.reload();
      await page.getByRole("heading", { name: said("bench.advisories") }).waitFor();
      await expectSound(page, `bench with an advisory, ${language}`);
      await page.goto(`/#/bench/inspect/${machineId}/end`);
      const sign = page.getByRole("button", { name: said("bench.submit") });
      await sign.waitFor();
      expect(await sign.isDisabled()).toBe(true);
      await page.goto(`/#/bench/inspect/${machineId}/load-mounting`);
      const asked = page
        .getByRole("group")
        .filter({ hasText: said("observation.load-mounting.scratched") })
        .first();
      await asked.getByRole("radio", { name: said("bench.advisory.gone") }).check();
      await expectSound(page, `item with an advisory, ${language}`);
      await shoot(page, `bench-advisory-${language}`);
      if (language === "de") await expectNoEnglish(page, "item with an advisory");
      await page.goto(`/#/bench/inspect/${machineId}/end`);
      await expect.poll(() => sign.isDisabled()).toBe(false);
      await sign.click();
      await expect.poll(async () => (await expectAnswer(mechanic.get(`/v1/defects/${defects[0].id}`), 200)).status).toBe("not-found");
      expectQuiet(opened);
      await context.close();
    },
  );
});
