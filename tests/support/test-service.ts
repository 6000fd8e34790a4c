// The service that the tests of a file, or of one `describe`, have in common: opened before them and closed after them.
import { afterAll, afterEach, beforeAll, beforeEach } from "vitest";
import { type As, peopleAtHand } from "./acts.ts";
import { openTestApp, type TestApp } from "./app.ts";
import { openTestContext, type TestContext } from "./context.ts";

/** Read only in what runs between the two: tests, hooks written below this, and what they call. */
export interface TestService {
  readonly app: TestApp;
  readonly as: As;
}

const around = { all: [beforeAll, afterAll], each: [beforeEach, afterEach] } as const;

function openedAround(which: keyof typeof around, openContext: () => Promise<TestContext>): TestService {
  let held: TestService | null = null;
  const opened = (): TestService => {
    if (!held) throw new Error("the service is read before it is opened: read it in a test or in a hook");
    return held;
  };
  const [before, after] = around[which];
  before(async () => {
    const app = await openTestApp(await openContext());
    held = { app, as: peopleAtHand(app) };
  });
  after(async () => {
    const last = held;
    held = null;
    await last?.app.close();
  });
  // Each member is looked up when it is read, so that tests are given the service as a value although it is not there yet.
  const app = new Proxy({} as TestApp, { get: (_, member) => Reflect.get(opened().app, member) });
  return { app, as: (staffNumber) => opened().as(staffNumber) };
}

/** One for all tests, on a context of its own. Hooks that need it stand below the call: before tests they run after it, after tests before it. */
export const testService = (openContext: () => Promise<TestContext> = openTestContext): TestService => openedAround("all", openContext);

/** A new one for each test. */
export const serviceForEach = (openContext: () => Promise<TestContext> = openTestContext): TestService => openedAround("each", openContext);
