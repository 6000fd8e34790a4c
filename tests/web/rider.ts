// A rider with a phone at a machine, and what the tests of the walk do again and again.
import type { Page } from "playwright-core";
import { de } from "../../shared/words/de.ts";
import { en } from "../../shared/words/en.ts";
import { peopleAtHand } from "../support/acts.ts";
import type { TestApp } from "../support/app.ts";
import { addTestMachine } from "../support/sheets.ts";
import { type Opened, type openPage, openPageAs, phone } from "./browser.ts";

export type AtTheMachine = Opened & { readonly mark: string; readonly machineId: string };

/** What begins with one of these texts, in any language of the pages. */
const oneOf = (...keys: (keyof typeof en & keyof typeof de)[]): RegExp =>
  new RegExp(`^(${keys.flatMap((key) => [en[key], de[key]].map((text) => text.replace(/\{.*/, ""))).join("|")})`);

let number = 0;

/** A machine of its own for each test, and a phone on which rider R001 is signed in. */
export async function openAtTheMachine(app: TestApp, options: Parameters<typeof openPage>[1] = phone): Promise<AtTheMachine> {
  number += 1;
  const mark = `WALK${String(number).padStart(3, "0")}`;
  const machineId = await addTestMachine(app, { mark });
  const opened = await openPageAs(app, "R001", options);
  await opened.page.getByRole("link", { name: mark, exact: false }).first().waitFor();
  return { ...opened, mark, machineId };
}

/** The button under the thumb of a station whose items were all in view. */
export const allWell = (page: Page) => page.getByRole("button", { name: oneOf("walk.all-well", "walk.rest-well") });

/** Scrolls on until every item of the station has been in view, as a finger does: it is no touch. All of it in the page, which is asked once. */
export async function lookAtAll(page: Page): Promise<void> {
  const up = [en, de].map((words) => words["walk.look-up"].replace(/\{.*/, ""));
  await page.locator(".thumb .main").waitFor();
  const looked = await page.evaluate(async (above) => {
    for (let times = 0; times < 600; times += 1) {
      const button = document.querySelector(".thumb .main");
      if (button?.getAttribute("aria-disabled") === "false") return true;
      const way = above.some((words) => button?.textContent?.startsWith(words)) ? -1 : 1;
      if (button?.classList.contains("rests")) scrollBy(0, way * Math.max(30, innerHeight / 6));
      await new Promise((done) => setTimeout(done, 50));
    }
    return false;
  }, up);
  if (!looked) throw new Error("no end of the station comes into view");
}

/** Answers the list of the station that is shown as well, after a look at all of it, and waits for what comes next: a station, the end, or the item of the day. */
export async function answerList(page: Page): Promise<void> {
  await lookAtAll(page);
  const station = await page.locator(".walk > header").textContent();
  await allWell(page).click();
  await listAnswered(page, station);
}

/** Until something else than the list of the station with this header stands on the screen. */
export const listAnswered = (page: Page, station: string | null) =>
  page.waitForFunction(
    (before) => document.querySelector(".day-item") !== null || document.querySelector(".walk > header")?.textContent !== before,
    station,
  );

/** Answers the station that is shown as well; answers how many touches it took. */
export async function answerStation(page: Page): Promise<number> {
  const dayItem = page.getByRole("button", { name: oneOf("walk.day.well") });
  let touches = 0;
  if ((await dayItem.count()) === 0) {
    await answerList(page);
    touches += 1;
  }
  // The item of the day is asked by itself, after its station.
  if ((await dayItem.count()) > 0) {
    await dayItem.click();
    touches += 1;
  }
  return touches;
}

/** Answers every station from here to the end of the walk as well; answers how many touches it took. */
export async function walkRound(page: Page): Promise<number> {
  let touches = 0;
  const shown = page.locator(".station, .day-item, .finish");
  // Of some machines there is something to tell first.
  const begin = page.getByRole("button", { name: "Walk round it" });
  await shown.or(begin).first().waitFor();
  if (await begin.isVisible()) await begin.click();
  for (await shown.waitFor(); (await page.locator(".finish").count()) === 0; await shown.waitFor()) touches += await answerStation(page);
  return touches;
}

/** Sends the check at the end of the walk, with the reading of the day where one was typed. */
export const sendWalk = (page: Page): Promise<void> =>
  page.getByRole("button", { name: oneOf("walk.send.nil", "walk.send.found", "walk.send.without") }).click();

/** Does something whose call to the service does not arrive, and waits until that is so: what is allowed next is not used by that call. */
export async function callLost(page: Page, act: () => Promise<void>): Promise<void> {
  await Promise.all([page.waitForEvent("requestfailed"), act()]);
}

export interface CheckOnRecord {
  readonly id: string;
  readonly decision: string;
  readonly staffId: string;
  readonly flags: readonly string[];
  readonly durationSeconds: number;
  readonly answers: readonly { itemId: string; result: string; photoIds?: string[] }[];
}

/** The checks of the machine that the service has. */
export const checksOf = async (app: TestApp, machineId: string): Promise<CheckOnRecord[]> =>
  (await (await peopleAtHand(app)("F001")).get("/v1/daily-checks").query({ machineId })).body.items;
