// Photos whose records are forgotten: their bytes go with the words, and nobody else's go with them.
import { randomUUID } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import { keepForgetting } from "../../src/keeping/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { photoStoreOf } from "../../src/photos/index.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { halves } from "../support/pictures.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2025-01-31T06:00:00.000Z"));
let machineId: string;
beforeAll(async () => {
  machineId = await addTestMachine(app);
});

const photoOf = async (widthPx: number): Promise<{ id: string; sha256: string }> => {
  const sent = await halves(widthPx, 40).jpeg().toBuffer();
  return expectAnswer((await as("R001")).post("/v1/photos").query({ id: randomUUID() }).set("content-type", "image/jpeg").send(sent), 201);
};

/** A defect with these photos, put right and signed off the same day. */
async function closedWith(observationId: string, ...photos: readonly { readonly id: string }[]): Promise<string> {
  const body = reportOf(app, machineId, observationId, { photoIds: photos.map(({ id }) => id) });
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(body), 201);
  app.context.clock.advance(60_000);
  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
  app.context.clock.advance(60_000);
  await expectAnswer((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send({ id: randomUUID() }), 201);
  return defect.id;
}

/** One day's look, as the service takes it; what is not sealed is not forgotten. */
async function forget(): Promise<void> {
  await takeCheckpoint(app.context);
  await keepForgetting(app.context)();
}

test("the bytes go with the last record that speaks of them; those that a later record, or another photo, needs stay", async () => {
  const alone = await photoOf(31);
  const shared = await photoOf(32);
  const again = await photoOf(33);
  const unnamed = await photoOf(34);
  const old = await closedWith("horn.silent", alone, shared, again);
  // 15 months after 31 January 2025 is 30 April 2026 (tests/rules/retention.test.ts).
  const age = (days: number): void => app.context.clock.advance(days * 86_400_000);
  age(300);
  const twin = await photoOf(32);
  expect(twin.sha256).toBe(shared.sha256);
  await closedWith("stop-lamp.out", twin, again);
  await forget();
  expect(await photoStoreOf(app.context).has(alone.sha256)).toBe(true);
  age(160);
  await forget();

  const statusOf = async (id: string) => {
    const { status, body } = await (await as("R001")).get(`/v1/photos/${id}`).buffer(true);
    return status === 200 ? "there" : body.code;
  };
  expect(await Promise.all([alone, shared, again, twin, unnamed].map(({ id }) => statusOf(id)))).toEqual([
    "photo-gone",
    "there",
    "there",
    "there",
    "there",
  ]);
  const { photos } = await expectAnswer((await as("M001")).get(`/v1/defects/${old}`), 200);
  expect(photos.map(({ sha256 }: { sha256: string }) => sha256)).toContain(alone.sha256);
  await forget();
  expect(await photoStoreOf(app.context).has(twin.sha256)).toBe(true);
});
