import { beforeAll, describe, expect, test } from "vitest";
import type { HistoryEntry } from "../../shared/contracts/fleet.ts";
import type { Paper } from "../../shared/contracts/papers.ts";
import { expectAnswer } from "../support/acts.ts";
import { chainOf, expectRefused, openSmallFleet, type SmallFleet } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let fleet: SmallFleet;
beforeAll(async () => {
  fleet = await openSmallFleet(app);
});

const noSuchId = "01980000-0000-7000-8000-000000000000";
const insurance = { kind: "insurance", number: "POL 77/1", validFrom: "2026-01-01", validTo: "2026-12-31" };
const cursorOf = (...parts: string[]): string => Buffer.from(JSON.stringify(parts)).toString("base64url");

describe("papers", () => {
  test("a manager records a paper; it stands in the list and in the machine's chain", async () => {
    const machine = await fleet.add("PA1");
    const { body } = await fleet.manager.post(`/v1/machines/${machine.id}/papers`).send(insurance).expect(201);
    const recordedAt = app.context.clock.now().toISOString();
    const unended = { lastDay: insurance.validTo, ending: null, warnings: [] };
    expect(body).toEqual({ id: body.id, machineId: machine.id, ...insurance, recordedAt, ...unended });
    expect((await fleet.rider.get(`/v1/machines/${machine.id}/papers`).expect(200)).body).toEqual({
      items: [{ ...body, photos: [], photosAwaited: [] }],
      nextCursor: null,
    });
    expect((await chainOf(app.context.db, machine.id)).at(-1)).toMatchObject({ kind: "paper-added", data: insurance });
  });

  test("a machine stands as papers-expired from the day after the last paper of a kind, until a newer one is recorded", async () => {
    const machine = await fleet.add("PA2");
    const post = (paper: object) => fleet.manager.post(`/v1/machines/${machine.id}/papers`).send({ ...insurance, ...paper });
    const standing = async () => (await fleet.rider.get(`/v1/machines/${machine.id}`)).body.standing;
    // The clock stands at 2026-07-13 in London.
    await post({ validTo: "2026-07-13" }).expect(201);
    expect(await standing()).not.toBe("papers-expired");
    const road = await fleet.add("PA3");
    await fleet.manager
      .post(`/v1/machines/${road.id}/papers`)
      .send({ ...insurance, kind: "road-tax", validTo: "2026-07-12" })
      .expect(201);
    const { body } = await fleet.rider.get(`/v1/machines/${road.id}`);
    expect(body.standing).toBe("papers-expired");
    expect(body.reasons[0]).toMatchObject({ code: "papers-expired", paperKind: "road-tax", day: "2026-07-12" });
    await fleet.manager
      .post(`/v1/machines/${road.id}/papers`)
      .send({ ...insurance, kind: "road-tax", validTo: "2027-07-12" })
      .expect(201);
    expect((await fleet.rider.get(`/v1/machines/${road.id}`)).body.standing).not.toBe("papers-expired");
    // A paper that was found late does not shorten what is known.
    await post({ validTo: "2026-05-01" }).expect(201);
    expect(await standing()).not.toBe("papers-expired");
  });

  test("between two papers nothing is valid: one that begins later does not hide that the earlier one ran out", async () => {
    // The clock stands at 2026-07-13 in London.
    const ended = { ...insurance, validTo: "2026-07-12" };
    const later = { ...insurance, validFrom: "2026-07-20", validTo: "2027-07-19" };
    for (const [mark, papers] of [
      ["PA6", [ended, later]],
      ["PA7", [later, ended]],
    ] as const) {
      const machine = await fleet.add(mark);
      const post = (paper: object) => fleet.manager.post(`/v1/machines/${machine.id}/papers`).send(paper).expect(201);
      for (const paper of papers) await post(paper);
      const { body } = await fleet.rider.get(`/v1/machines/${machine.id}`);
      expect(body.standing).toBe("papers-expired");
      expect(body.reasons[0]).toMatchObject({ code: "papers-expired", paperKind: "insurance", day: "2026-07-12" });
      // A paper for the days between closes the gap.
      await post({ ...insurance, validFrom: "2026-07-13", validTo: "2026-07-19" });
      expect((await fleet.rider.get(`/v1/machines/${machine.id}`)).body.standing).not.toBe("papers-expired");
    }
  });

  test("pages give every paper once, the one that lasts longest first", async () => {
    const machine = await fleet.add("PA4");
    const path = `/v1/machines/${machine.id}/papers`;
    for (const validTo of ["2026-08-01", "2027-01-01", "2026-08-01", "2026-09-01", "2026-08-01"]) {
      await fleet.manager
        .post(path)
        .send({ ...insurance, validTo })
        .expect(201);
    }
    const papers: Paper[] = [];
    for (let cursor: string | null | undefined; cursor !== null; ) {
      const { body } = await fleet.rider.get(path).query({ limit: 2, ...(cursor ? { cursor } : {}) });
      papers.push(...body.items);
      cursor = body.nextCursor;
    }
    expect(papers.map(({ validTo }) => validTo)).toEqual(["2027-01-01", "2026-09-01", "2026-08-01", "2026-08-01", "2026-08-01"]);
    expect(new Set(papers.map(({ id }) => id)).size).toBe(5);
  });

  test("what is not valid, not there or not theirs is refused", async () => {
    const machine = await fleet.add("PA5");
    const path = `/v1/machines/${machine.id}/papers`;
    const bad: [object, string][] = [
      [{ kind: "diploma" }, "/kind"],
      [{ number: "" }, "/number"],
      [{ validTo: "2025-12-31" }, "/validTo"],
      [{ validFrom: null }, "/validFrom"],
      [{ copy: true }, "/copy"],
    ];
    for (const [changes, pointer] of bad) {
      await expectRefused(app, () => fleet.manager.post(path).send({ ...insurance, ...changes }), 422, "not-valid", [pointer]);
    }
    await expectRefused(app, () => fleet.manager.post(`/v1/machines/${noSuchId}/papers`).send(insurance), 404, "not-found");
    await expectRefused(app, () => fleet.farManager.post(path).send(insurance), 403, "other-depot");
    for (const client of [fleet.rider, fleet.mechanic, fleet.auditor]) {
      await expectRefused(app, () => client.post(path).send(insurance), 403, "not-your-role");
    }
    await expectRefused(app, () => app.anyone.post(path).send(insurance), 401, "not-signed-in");
    await expectRefused(app, () => app.anyone.get(path), 401, "not-signed-in");
    await expectRefused(app, () => fleet.farRider.get(path), 403, "other-depot");
    await expectRefused(app, () => fleet.rider.get(`/v1/machines/${noSuchId}/papers`), 404, "not-found");
    for (const cursor of [cursorOf("soon", noSuchId), cursorOf("2026-01-01"), cursorOf("2026-01-01", "x")]) {
      await expectRefused(app, () => fleet.rider.get(path).query({ cursor }), 422, "not-valid", ["/query/cursor"]);
    }
  });
});

describe("history", () => {
  test("says in the reader's language what each record says, and names whom it names", async () => {
    const machine = await fleet.add("HI3");
    const path = `/v1/machines/${machine.id}`;
    await expectAnswer(fleet.manager.post(`${path}/papers`).send(insurance), 201);
    await expectAnswer(fleet.manager.patch(path).send({ depotId: app.cast.farDepotId }), 200);
    const said = async (query: object) => {
      const { items } = await expectAnswer(fleet.manager.get(`${path}/history`).query(query), 200);
      return items.map(({ sentence, what }: HistoryEntry) => `${sentence}: ${what}`);
    };
    expect(await said({})).toEqual([
      "The machine's particulars were changed: depot: from Home to Far",
      "A paper of the machine was recorded: Insurance POL 77/1, 2026-01-01 to 2026-12-31",
      "The machine entered the fleet: HI3, 1200 km",
    ]);
    expect((await said({ lang: "de" }))[0]).toMatch(/: Standort: von Home auf Far$/);
    await expectRefused(app, () => fleet.manager.get(`${path}/history`).query({ lang: "xx" }), 422, "not-valid", ["/query/lang"]);
  });

  test("everything that happened, newest first, with who did it and when, page by page", async () => {
    const machine = await fleet.add("HI1");
    const path = `/v1/machines/${machine.id}`;
    app.context.clock.advance(60_000);
    await fleet.manager.post(`${path}/papers`).send(insurance).expect(201);
    await fleet.manager
      .patch(path)
      .send({ withdrawn: { reason: "Bent fork" } })
      .expect(200);
    for (const client of [fleet.mechanic, fleet.manager, fleet.auditor]) {
      const { body: first } = await client.get(`${path}/history?limit=2`).expect(200);
      const { body: second } = await client.get(`${path}/history`).query({ limit: 2, cursor: first.nextCursor }).expect(200);
      const entries: HistoryEntry[] = [...first.items, ...second.items];
      expect(second.nextCursor).toBeNull();
      expect(entries.map(({ kind }) => kind)).toEqual(["machine-withdrawn", "paper-added", "machine-added"]);
      expect(entries.map(({ position }) => position)).toEqual([3, 2, 1]);
      expect(entries[0]).toMatchObject({
        sentence: "The machine was withdrawn from service",
        performedAt: "2026-07-13T04:31:00.000Z",
        recordedAt: "2026-07-13T04:31:00.000Z",
        staffId: app.cast.staffId("F001"),
        staffNumber: "F001",
        staffName: "Person F001",
        data: { reason: "Bent fork" },
      });
    }
  });

  test("not for riders, other depots, strangers or machines that are not there", async () => {
    const machine = await fleet.add("HI2");
    const path = `/v1/machines/${machine.id}/history`;
    await expectRefused(app, () => fleet.rider.get(path), 403, "not-your-role");
    await expectRefused(app, () => fleet.farManager.get(path), 403, "other-depot");
    await expectRefused(app, () => app.anyone.get(path), 401, "not-signed-in");
    await expectRefused(app, () => fleet.auditor.get(`/v1/machines/${noSuchId}/history`), 404, "not-found");
    await expectRefused(app, () => fleet.auditor.get(path).query({ limit: 0 }), 422, "not-valid", ["/query/limit"]);
    for (const cursor of [cursorOf("first"), cursorOf("99999999999")]) {
      await expectRefused(app, () => fleet.auditor.get(path).query({ cursor }), 422, "not-valid", ["/query/cursor"]);
    }
  });
});
