// Audit packs that are ordered again and again: the same one while it is being made, and no more than so many at once.
import { mkdir, rm, symlink } from "node:fs/promises";
import { join } from "node:path";
import { expect, test } from "vitest";
import { workOff } from "../../src/audit/work-off.ts";
import { expectAnswer } from "../support/acts.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const monthOf = (n: number): string => `20${10 + Math.floor(n / 12)}-${String(1 + (n % 12)).padStart(2, "0")}`;
const order = async (body: object, who = "A001") => (await as(who)).post("/v1/audit-packs").send(body);
const orders = async () =>
  (await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM audit_pack WHERE state IN ('waiting', 'working')"))[0]?.n;
const recordsOf = async () => (await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM ledger"))[0]?.n;
/** The oldest of those that wait comes to its end. */
const endOne = () =>
  app.context.db.rows(`UPDATE audit_pack SET state = 'failed', failure = 'fault', ended_at = now()
    WHERE id = (SELECT id FROM audit_pack WHERE state = 'waiting' ORDER BY requested_at, id LIMIT 1) RETURNING id`);

test("24 are ordered side by side and no more; the same again is still answered, and who is refused has ordered nothing", async () => {
  const answers = await Promise.all(Array.from({ length: 30 }, (_, n) => order({ month: monthOf(n) }, n % 2 ? "A001" : "F001")));
  const statuses = answers.map(({ status }) => status);
  expect([statuses.filter((status) => status === 202).length, statuses.filter((status) => status === 429).length]).toEqual([24, 6]);
  expect(await orders()).toBe(24);
  const before = await recordsOf();
  const refused = await order({ month: "2026-01" });
  expect([refused.status, refused.body.code, refused.headers["retry-after"]]).toEqual([429, "too-many-packs", "60"]);
  expect(refused.body.detail).toBe("24 packs are ordered and not yet made. Nothing was ordered. Order it again when one of them is ready.");
  expect(await recordsOf()).toBe(before);
  const first = answers.find(({ status }) => status === 202)?.body;
  const again = await expectAnswer((await as("F001")).post("/v1/audit-packs").send({ month: first.month }), 202);
  expect([again.id, again.state]).toEqual([first.id, "waiting"]);
});

test("a depot's pack, and one with photos, are others than the firm's; one that has ended makes room for one", async () => {
  for (const other of [
    { month: monthOf(0), depotId: app.cast.homeDepotId },
    { month: monthOf(0), photos: true },
  ]) {
    expect((await order(other)).body.code).toBe("too-many-packs");
  }
  await endOne();
  expect(await orders()).toBe(23);
  const taken = await order({ month: monthOf(0), depotId: app.cast.homeDepotId });
  expect(taken.status).toBe(202);
  expect((await order({ month: monthOf(0), photos: true })).body.code).toBe("too-many-packs");
  expect((await order({ month: monthOf(0), depotId: app.cast.homeDepotId }, "F001")).body.id).toBe(taken.body.id);
});

// A folder in which nobody can make a file, whoever they are: as one on a disk that is mounted for reading.
test.runIf(process.platform === "linux")("a data folder that takes no file fails the orders, and the service goes on", async () => {
  const { dataFolder } = app.context.config;
  await rm(join(dataFolder, "packs"), { recursive: true, force: true });
  await mkdir(dataFolder, { recursive: true });
  await symlink("/proc/self/task", join(dataFolder, "packs"));
  const waiting = await orders();
  expect(waiting).toBe(24);
  await workOff(app.context, { id: app.context.newId(), alone: false, stopped: () => false });
  const ended = await app.context.db.rows<{ failure: string; n: number }>(
    "SELECT failure, count(*)::int AS n FROM audit_pack WHERE state = 'failed' GROUP BY failure",
  );
  expect(ended).toEqual([{ failure: "fault", n: 25 }]);
  expect((await app.anyone.get("/readyz")).status).toBe(200);
  await rm(join(dataFolder, "packs"));
  const taken = (await order({ month: monthOf(1) })).body;
  await workOff(app.context, { id: app.context.newId(), alone: false, stopped: () => false });
  expect((await (await as("A001")).get(`/v1/audit-packs/${taken.id}`)).body.state).toBe("ready");
});
