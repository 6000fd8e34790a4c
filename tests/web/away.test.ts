// A machine goes to another workshop from its page, is seen there by the bench, and is taken back with what was done, in both languages.
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { addTestMachine, checkFinding } from "../support/sheets.ts";
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

describeInBrowser("a machine at another workshop", () => {
  const { app, as } = testPages();

  test.each(["en", "de"] as const)("is sent out, seen at the bench and taken back (%s)", async (language) => {
    const say = (key: Parameters<typeof word>[0], params = {}) => word(key, language, params);
    const mark = `AWAY${language.toUpperCase()}1`;
    const machineId = await addTestMachine(app, { mark });
    const found = checkFinding(app, machineId, "front-brake-cable.frayed");
    const { defects } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(found), 201);
    const opened = await openPageAs(app, "M001", language === "en" ? desk : smallest);
    const { page } = opened;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await chooseLanguage(page, language);
    const at = (path: string) => `${new URL(page.url()).origin}/#/${path}`;
    await page.goto(at(`bench/machine/${machineId}`));
    await page.reload();
    await page.getByText(say("outside.send"), { exact: true }).click();
    await page.getByLabel(say("outside.workshop")).fill("Harbour Street");
    await page.getByLabel(say("outside.reason")).fill("Zzz");
    await page.getByLabel(say("outside.expected")).fill("2029-12-31");
    await expectSound(page, `sending out, ${language}`);
    await shoot(page, `away-send-${language}`);
    await page.getByRole("button", { name: say("outside.send.do") }).click();
    const back = page.getByRole("link", { name: say("outside.take-back") });
    await back.waitFor();
    await shoot(page, `away-machine-${language}`);
    expect((await onBoard(as, machineId)).reasons[0]?.code).toBe("away");
    await page.goto(at("bench"));
    const row = page.getByRole("listitem").filter({ hasText: mark }).filter({ hasText: "Harbour Street" });
    await row.waitFor();
    await expectSound(page, `bench with a machine away, ${language}`);
    await shoot(page, `away-bench-${language}`);
    await row.getByRole("link", { name: say("bench.away.open") }).click();
    await page.getByRole("checkbox").first().check();
    await page.getByLabel(say("outside.work", { item: word("item.front-brake-cable.name", language) })).fill("Abc");
    await page.getByLabel(say("bench.part"), { exact: true }).first().fill("Xyz");
    await page.getByLabel(say("outside.other")).fill("Def");
    if (language === "de") await expectNoEnglish(page, "taking a machine back");
    await expectSound(page, `taking back, ${language}`);
    await shoot(page, `away-back-${language}`);
    await page.getByRole("button", { name: say("outside.take-back.do") }).click();
    await page.getByText(say("outside.back.inspect")).waitFor();
    await expectSound(page, `taken back, ${language}`);
    await shoot(page, `away-back-done-${language}`);
    const { status, repairedAt } = await expectAnswer((await as("M001")).get(`/v1/defects/${defects[0].id}`), 200);
    expect([status, repairedAt]).toEqual(["repaired", "Harbour Street"]);
    await page.goto(at(`bench/defect/${defects[0].id}`));
    await page.getByText(say("bench.repaired-at", { workshop: "Harbour Street" })).waitFor();
    expectQuiet(opened);
    await opened.context.close();
  });
});
