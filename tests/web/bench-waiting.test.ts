// A defect that waits for a part, and a note on it, on the pages: at the bench, on the board, and for whoever rides the machine.
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { Language } from "../../shared/words/speak.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  chooseLanguage,
  describeInBrowser,
  desk,
  expectNoEnglish,
  expectQuiet,
  expectSound,
  openPageAs,
  phone,
  shoot,
  testPages,
} from "./browser.ts";

describeInBrowser("waiting for a part", () => {
  const { app, as } = testPages();

  const dayAfter = (days: number) => new Date(app.context.clock.now().getTime() + days * 86_400_000).toISOString().slice(0, 10);
  async function defectOn(mark: string, seen: string): Promise<string> {
    const machineId = await addTestMachine(app, { mark });
    return (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, seen)), 201)).defect.id;
  }
  const words = {
    en: { wait: "Wait for a part", part: "What it waits for", day: /^Expected on/, why: "Why it waits", do: "Let it wait" },
    de: { wait: "Auf ein Teil warten", part: "Worauf es wartet", day: /^Erwartet am/, why: "Warum es wartet", do: "Warten lassen" },
  } as const;
  const notes = {
    en: { add: "Add a note", note: "Note", do: "Record the note", waits: /^Waiting for a horn of 12 V, expected / },
    de: { add: "Notiz hinzufügen", note: "Notiz", do: "Notiz eintragen", waits: /^Wartet auf a horn of 12 V, erwartet am / },
  } as const;
  const speak = async (page: Page, language: Language) => {
    await chooseLanguage(page, language);
    await page.reload();
  };

  test.each([
    ["en", "phone", phone],
    ["de", "desk", desk],
  ] as const)("a mechanic lets a defect wait and adds a note, in %s on a %s", async (language, name, size) => {
    const id = await defectOn(`WAIT${language.toUpperCase()}`, "horn.weak");
    const opened = await openPageAs(app, "M001", size);
    const { page } = opened;
    await speak(page, language);
    await page.goto(`${page.url().split("#")[0]}#/bench/defect/${id}`);
    const said = words[language];
    await page.getByRole("radio", { name: said.wait }).check();
    await expectSound(page, `waiting, ${name}`);
    await shoot(page, `waiting-form-${name}`);
    await page.getByLabel(said.part).fill("a horn of 12 V");
    await page.getByLabel(said.day).fill(dayAfter(12));
    await page.getByLabel(said.why).fill("Weak, and heard all the same");
    await page.getByRole("button", { name: said.do }).click();
    await page.getByText(notes[language].waits).first().waitFor();
    await page.getByRole("button", { name: notes[language].add }).click();
    await page.getByLabel(notes[language].note, { exact: true }).fill("Rang the supplier");
    await page.getByRole("button", { name: notes[language].do }).click();
    await page.locator(".course").getByText("Rang the supplier").waitFor();
    await expectSound(page, `waited, ${name}`);
    if (language === "de") await expectNoEnglish(page, "a defect that waits");
    await shoot(page, `waiting-defect-${name}`);
    // A second time it is not offered, and the reason stands there.
    await page.getByRole("radio", { name: said.wait }).check();
    await page.locator(".acts .notice").first().waitFor();
    expect(await page.getByRole("button", { name: said.do }).count()).toBe(0);
    expectQuiet(opened);
    const { course } = await expectAnswer((await as("M001")).get(`/v1/defects/${id}`), 200);
    expect(course.map(({ kind }: { kind: string }) => kind).sort()).toEqual(["note", "raised", "waiting"]);
    await opened.context.close();
  });

  test("the bench, the board and the rider's phone say what is waited for, and a manager notes what a closed defect still brings", async () => {
    const id = await defectOn("WAITED", "horn.weak");
    const wait = { id: crypto.randomUUID(), part: "a left mirror", reason: "The right one is whole", expectedDay: dayAfter(9) };
    await expectAnswer((await as("M001")).post(`/v1/defects/${id}/waiting`).send(wait), 201);
    const gone = { id: crypto.randomUUID(), reason: "Loud enough" };
    const closed = await defectOn("WAITCLOSED", "horn.weak");
    await expectAnswer((await as("M001")).post(`/v1/defects/${closed}/not-found`).send(gone), 201);
    for (const [name, size] of [
      ["phone", phone],
      ["desk", desk],
    ] as const) {
      const opened = await openPageAs(app, "F001", size);
      const { page } = opened;
      const top = page.url().split("#")[0];
      await page.goto(`${top}#/board`);
      await page
        .getByText(/waiting for a left mirror, expected/)
        .first()
        .waitFor();
      await shoot(page, `waiting-board-${name}`);
      await page.goto(`${top}#/bench`);
      await page
        .getByRole("listitem")
        .filter({ hasText: "WAITED" })
        .getByText(/Waiting for a left mirror/)
        .waitFor();
      await expectSound(page, `bench with a wait, ${name}`);
      await shoot(page, `waiting-bench-${name}`);
      await page.goto(`${top}#/bench/defect/${closed}`);
      await page.getByRole("button", { name: "Add a note" }).click();
      await page.getByLabel("Note", { exact: true }).fill(`Heard on the yard, ${name}`);
      await page.getByRole("button", { name: "Record the note" }).click();
      await page.locator(".course").getByText(`Heard on the yard, ${name}`).waitFor();
      expectQuiet(opened);
      await opened.context.close();
    }
    const opened = await openPageAs(app, "R001", phone);
    await opened.page.goto(`${opened.page.url().split("#")[0]}#/walk/WAITED`);
    await opened.page.getByText(/Waiting for a part, expected/).waitFor();
    await expectSound(opened.page, "before a walk, with a wait");
    await shoot(opened.page, "waiting-walk-phone");
    await opened.context.close();
  });
});
