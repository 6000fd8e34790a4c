// The rider's pages in a real Chromium, as fast as this machine is and four times slower on a poor mobile link; and how long a grounding takes to
// reach an open board. A rider of a depot with 500 machines.
import { randomUUID } from "node:crypto";
import { statSync } from "node:fs";
import { type Browser, type CDPSession, chromium, type Page } from "playwright-core";
import { languageNames } from "../../shared/words/speak.ts";
import { browserOptions } from "../support/chromium.ts";
import { type RunningService, startService } from "./service.ts";
import { depotId, machineId, manager, rider, type Stage, setStage } from "./stage.ts";

interface Person {
  readonly staffNumber: string;
  readonly secret: string;
}

const groundings = 10;
const middle = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
const seconds = (begun: number): number => (performance.now() - begun) / 1000;

export async function benchPages(): Promise<void> {
  if (browserOptions.executablePath === "") throw new Error("no Chromium was found: name one in CHROMIUM");
  const stage = await setStage();
  const service = await startService(stage.address);
  const browser = await chromium.launch(browserOptions);
  try {
    await ofOneDepot(stage);
    const quick = await walkOnce(browser, service, 1, false);
    const slow = await walkOnce(browser, service, 2, true);
    const shown = ({ open, list, check, touches }: Walked) =>
      `first screen ${open.toFixed(2)} s, list of machines ${list.toFixed(2)} s, ${touches} touches from machine to answer in ${check.toFixed(2)} s`;
    console.log(`as it is: ${shown(quick)}`);
    console.log(`CPU four times slower, 400 kbit/s, 400 ms: ${shown(slow)}`);
    for (const [language, name] of Object.entries(languageNames)) {
      const kB = (await weighFirstScreen(browser, service, language)) / 1024;
      console.log(`script and style up to the rider's list, gzip, spoken in ${name}: ${kB.toFixed(1)} KB`);
    }
    const times = await groundingsSeen(browser, service);
    console.log(
      `a grounding on the open board of 10,000 machines: median ${middle(times).toFixed(2)} s, most ${Math.max(...times).toFixed(2)} s of ${times.length}`,
    );
  } finally {
    await browser.close();
    await service.stop();
    await stage.clear();
  }
}

async function ofOneDepot({ sql }: Stage): Promise<void> {
  const [person] = await sql<{ id: string }[]>`UPDATE staff SET all_depots = false WHERE staff_number = ${rider.staffNumber} RETURNING id`;
  await sql`INSERT INTO staff_depot VALUES (${person?.id ?? ""}, ${depotId(1)})`;
}

async function slowDown(session: CDPSession): Promise<void> {
  await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await session.send("Network.enable");
  await session.send("Network.emulateNetworkConditions", {
    offline: false,
    latency: 400,
    downloadThroughput: 50_000,
    uploadThroughput: 50_000,
  });
}

async function signIn(page: Page, { staffNumber, secret }: Person): Promise<void> {
  await page.getByLabel("Staff number").fill(staffNumber);
  await page.getByLabel("Secret").fill(secret);
  await page.getByRole("button", { name: "Sign in" }).click();
}

interface Walked {
  readonly open: number;
  readonly list: number;
  readonly check: number;
  readonly touches: number;
}

/** Opens the pages for the first time and makes a check that finds nothing, as fast as a hand that never waits. */
async function walkOnce(browser: Browser, { url }: RunningService, machine: number, slow: boolean): Promise<Walked> {
  const context = await browser.newContext({
    viewport: { width: 390, height: 844 },
    hasTouch: true,
    isMobile: true,
    serviceWorkers: "block",
  });
  const page = await context.newPage();
  if (slow) await slowDown(await context.newCDPSession(page));
  let begun = performance.now();
  await page.goto(url);
  await page.getByRole("button", { name: "Sign in" }).waitFor();
  const open = seconds(begun);
  await signIn(page, rider);
  begun = performance.now();
  const mark = `B${String(20 * machine + 1).padStart(6, "0")}`;
  await page.getByLabel("Registration mark").waitFor();
  const list = seconds(begun);
  await page.getByLabel("Registration mark").fill(mark);
  begun = performance.now();
  await page.getByRole("link", { name: mark }).click();
  let touches = 1;
  const well = page.getByRole("button", { name: /^(All well here|It is well)$/ });
  await well.waitFor();
  for (; (await page.locator(".finish").count()) === 0; touches += 1) await well.click();
  await page.getByRole("button", { name: "Send without the reading" }).click();
  touches += 1;
  await page.getByText("Sent. The service has it.").waitFor();
  const check = seconds(begun);
  await context.close();
  return { open, list, check, touches };
}

const built = new URL("../../src/web/built", import.meta.url).pathname;

/** What a rider's phone fetches of script and style until a machine can be chosen, in bytes of gzip. */
async function weighFirstScreen(browser: Browser, { url }: RunningService, language: string): Promise<number> {
  const page = await browser.newPage({ serviceWorkers: "block", locale: language });
  const names = new Set<string>();
  page.on("requestfinished", (request) => {
    const { pathname } = new URL(request.url());
    if (/^\/pages\/.*\.(js|css)$/.test(pathname)) names.add(pathname);
  });
  await page.goto(url);
  const [number, secret] = [page.locator("input").first(), page.locator("input").last()];
  await number.fill(rider.staffNumber);
  await secret.fill(rider.secret);
  await secret.press("Enter");
  await page.locator(".machines a").first().waitFor();
  await page.waitForLoadState("networkidle");
  await page.close();
  return [...names].reduce((sum, name) => sum + statSync(`${built}${name}.gz`).size, 0);
}

async function groundingsSeen(browser: Browser, service: RunningService): Promise<number[]> {
  const { url } = service;
  const page = await browser.newPage();
  await page.goto(url);
  await signIn(page, manager);
  await page.getByText("Live. Read at").waitFor();
  const token = await service.tokenOf(rider);
  const times: number[] = [];
  for (let count = 0; count < groundings; count += 1) {
    const n = 20 * (100 + count) + 1;
    const begun = performance.now();
    const answer = await fetch(`${url}/v1/defects`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": "application/json" },
      body: JSON.stringify({
        id: randomUUID(),
        machineId: machineId(n),
        seenAt: new Date().toISOString(),
        observationIds: ["front-brake-cable.frayed"],
      }),
    });
    if (!answer.ok) throw new Error(await answer.text());
    await page
      .getByRole("row", { name: `B${String(n).padStart(6, "0")}` })
      .getByText("Grounded")
      .waitFor();
    times.push(seconds(begun));
  }
  await page.close();
  return times;
}
