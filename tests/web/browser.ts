// A real browser at the pages of a real service. What every test of a page asks for at its end: no fault in the console, no call to
// another host, and nothing that axe finds.
import { readFileSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { createRequire } from "node:module";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { afterAll, describe, expect } from "vitest";
import type { Language } from "../../shared/words/speak.ts";
import type { Served } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { chromiumPath, frugalOptions } from "../support/chromium.ts";
import type { TestContext } from "../support/context.ts";
import { englishIn } from "../support/english.ts";
import { type TestService, testService } from "../support/test-service.ts";

/** As `describe`, for what takes a browser: skipped where there is none, and `npm test` says so at its end. */
export function describeInBrowser(name: string, tests: () => void): void {
  // A look by axe at every state in both themes takes a small machine half a minute: it is waited for, and what hangs ends by itself in 30 s.
  describe.skipIf(chromiumPath === null)(name, tests);
}

let browser: Promise<Browser> | null = null;
export const theBrowser = (): Promise<Browser> => {
  browser ??= chromium.launch(frugalOptions);
  return browser;
};
/** Call it once in a file that uses `theBrowser` or `openPage` without `testPages`. */
export const closeBrowserAfterwards = (): void => {
  afterAll(async () => {
    const open = browser;
    browser = null;
    await (await open)?.close();
  });
};

/** The service for all tests of a file or of a `describe`, with its pages, and no browser left open after them. */
export function testPages(openContext?: () => Promise<TestContext>): TestService {
  const service = testService(openContext);
  // The browsers are gone before the service is: what is opened last is closed first.
  closeBrowserAfterwards();
  return service;
}

/** A phone has several dots a pixel. They are four times the painting and nothing that a test looks at, so only pictures are taken with them. */
const dots = process.env["SHOTS"] === undefined ? 1 : 2;
export const phone = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: dots } as const;
export const smallest = { viewport: { width: 320, height: 568 }, hasTouch: true, isMobile: true } as const;
export const desk = { viewport: { width: 1440, height: 900 } } as const;

export const addressOf = (app: Served): string => `http://127.0.0.1:${(app.app.server.address() as AddressInfo).port}`;

/** Faults and calls abroad of every page of a context, as lines; empty where all is well. */
export function watch(context: BrowserContext, address: string): readonly string[] {
  const lines: string[] = [];
  context.on("console", (message) => {
    if (message.type() !== "error") return;
    // The browser itself says so of every answer above 399; what the page makes of it is what a test looks at.
    if (message.text().startsWith("Failed to load resource")) return;
    lines.push(`console: ${message.text()}`);
  });
  context.on("weberror", (error) => lines.push(`fault: ${error.error().stack ?? error.error().message}`));
  context.on("request", (request) => {
    const url = request.url();
    if (!url.startsWith(address) && !url.startsWith("data:") && !url.startsWith("blob:")) lines.push(`abroad: ${url}`);
  });
  return lines;
}

export interface Opened {
  readonly context: BrowserContext;
  readonly page: Page;
  readonly faults: readonly string[];
}

/**
 * A page of the service in a browser of its own, at the service's time, nobody signed in. Without the pages' service worker, which would
 * fetch every file of theirs for each such browser: it is at work in the tests of a phone without a signal and of a whole morning.
 */
export async function openPage(app: Served, options: BrowserContextOptions = desk): Promise<Opened> {
  const context = await (await theBrowser()).newContext({
    baseURL: addressOf(app),
    locale: "en-GB",
    timezoneId: "Europe/London",
    serviceWorkers: "block",
    ...options,
  });
  // Playwright's own half a minute was the first thing to fail beside twenty busy processes; a test as a whole has ten.
  context.setDefaultTimeout(300_000);
  const faults = watch(context, addressOf(app));
  await context.clock.install({ time: app.context.clock.now() });
  const page = await context.newPage();
  await page.goto("/");
  return { context, page, faults };
}

/** Signs in on the page as a person would. */
export async function signInOn(page: Page, staffNumber: string, secret = secretOf(staffNumber)): Promise<void> {
  await page.getByLabel("Staff number").fill(staffNumber);
  await page.getByLabel("Secret").fill(secret);
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("navigation").waitFor();
}

/** The same with somebody of the cast signed in on it. */
export async function openPageAs(app: Served, staffNumber: string, options?: BrowserContextOptions): Promise<Opened> {
  const opened = await openPage(app, options);
  await signInOn(opened.page, staffNumber);
  return opened;
}

/** The language that the pages speak on this device once they are loaded anew. */
export const chooseLanguage = (page: Page, language: Language): Promise<void> =>
  page.evaluate((chosen) => localStorage.setItem("ferrule.language", chosen), language);

/** No fault in the console, nothing fetched from elsewhere. */
export function expectQuiet({ faults }: Opened): void {
  expect(faults).toEqual([]);
}

const themes = ["light", "dark"] as const;

/** Does something in each theme, and leaves the page in the one that it had. */
async function inBothThemes(page: Page, act: (theme: string) => Promise<void>): Promise<void> {
  const put = (theme: string) =>
    page.evaluate((name) => {
      document.documentElement.dataset["theme"] = name;
    }, theme);
  const before = await page.evaluate(() => document.documentElement.dataset["theme"] ?? "light");
  for (const theme of themes) {
    await put(theme);
    await act(theme);
  }
  await put(before);
}

/** Nothing on the page is said in English, neither to the eye nor to a screen reader. */
export async function expectNoEnglish(page: Page, about: string): Promise<void> {
  const said = await page.evaluate(() => [
    document.body.textContent ?? "",
    ...[...document.querySelectorAll("[aria-label], [title], [alt], [placeholder]")].flatMap((node) =>
      ["aria-label", "title", "alt", "placeholder"].map((name) => node.getAttribute(name) ?? ""),
    ),
  ]);
  expect(englishIn(said), about).toEqual([]);
}

/** What finds faults is a file larger than all our pages: it is read once, and by a page once. */
const axe = readFileSync(createRequire(import.meta.resolve("@axe-core/playwright")).resolve("axe-core/axe.min.js"), "utf8");

const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** The rules of axe that look at colours: all that a theme can change. */
const ofColours = ["color-contrast", "link-in-text-block"];

/** The rules of axe that look at how large a thing is. */
const ofWidths = ["target-size"];

/**
 * What axe finds on the page as it stands, of colours in both themes, and whether it is wider than its window. Roles, names and colours are
 * the same in every language, so a page in German is asked only for what its longer words can change: its width, and what fingers have to hit.
 */
export async function expectSound(page: Page, about: string): Promise<void> {
  const all = { type: "tag" as const, values: rules };
  if (!(await page.evaluate(() => "axe" in globalThis))) await page.evaluate(axe);
  const isFirstLanguage = (await page.evaluate(() => document.documentElement.lang)) === "en";
  await inBothThemes(page, async (theme) => {
    if (theme === "dark" && !isFirstLanguage) return;
    const only = (values: string[]) => ({ type: "rule" as const, values });
    const runOnly = !isFirstLanguage ? only(ofWidths) : theme === "light" ? all : only(ofColours);
    // No page of ours has a frame in it: without a second page to gather what frames say, a look takes half the time.
    const look = new AxeBuilder({ page, axeSource: "void 0" }).setLegacyMode();
    const { violations } = await look.options({ runOnly, resultTypes: ["violations"] }).analyze();
    const said = violations.map(
      ({ id, nodes }) => `${id}: ${nodes.map(({ html, failureSummary }) => `${html} ${failureSummary}`).join(" | ")}`,
    );
    expect(said.join("\n"), `${about}, ${theme}`).toBe("");
  });
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(over, `${about} is wider than its window`).toBeLessThanOrEqual(0);
}

/** Keeps a picture of the page in both themes where SHOTS names a folder: the whole page to be looked at, or what the window shows. */
export async function shoot(page: Page, name: string, fullPage = true): Promise<void> {
  const folder = process.env["SHOTS"];
  if (folder === undefined) return;
  await mkdir(folder, { recursive: true });
  await inBothThemes(page, async (theme) => {
    await page.screenshot({ path: join(folder, `${name}-${theme}.png`), fullPage });
  });
}
