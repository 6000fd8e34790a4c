// What loses against another transaction is done again, and what breaks a rule of the tables is told as that rule and no other.
import { randomUUID } from "node:crypto";
import type { Response } from "supertest";
import { describe, expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { testModel } from "../support/machines.ts";
import { addTestMachine, checkFinding } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

/** While `work` goes on, the database refuses each writing of a record with this error, but for every `but`th. */
async function refusing<T>(error: string, but: number | null, work: () => Promise<T>): Promise<T> {
  const rows = (sql: string) => app.context.db.rows(sql);
  await rows("CREATE SEQUENCE tries");
  await rows(`CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
    IF ${but === null ? "true" : `nextval('tries') % ${but} <> 0`} THEN RAISE EXCEPTION ${error}; END IF; RETURN NULL; END $$`);
  await rows("CREATE TRIGGER refuse BEFORE INSERT ON ledger FOR EACH STATEMENT EXECUTE FUNCTION refuse()");
  try {
    return await work();
  } finally {
    await rows("DROP TRIGGER refuse ON ledger");
    await rows("DROP FUNCTION refuse()");
    await rows("DROP SEQUENCE tries");
  }
}

const depotOf = (name: string) => ({ name, timeZone: "Europe/London", workshopHoursPerDay: 8 });
const machineOf = async (registrationMark: string) => {
  const { items } = await expectAnswer((await as("F001")).get("/v1/models"), 200);
  return { registrationMark, modelId: items[0].id, depotId: app.cast.homeDepotId, odometerKm: 1, inServiceFrom: "2026-07-01" };
};
const memberOf = (staffNumber: string) => ({ staffNumber, name: "Somebody", role: "rider", allDepots: true });
const newName = (): string => `N${randomUUID().slice(0, 8)}`.toUpperCase();

describe("a transaction that lost against another", () => {
  for (const [state, what] of [
    ["40001", "could not be put in one order with it"],
    ["40P01", "waited for it, and it in turn"],
  ] as const) {
    test(`since it ${what}, is done again and stored once`, async () => {
      const machineId = await addTestMachine(app);
      const body = checkFinding(app, machineId, "fuel.drips");
      const manager = await as("F001");
      const rider = await as("R001");
      const name = newName();
      await refusing(`'lost' USING ERRCODE = '${state}'`, 3, async () => {
        await expectAnswer(rider.post("/v1/daily-checks").send(body), 201);
        await expectAnswer(manager.post("/v1/depots").send(depotOf(name)), 201);
        await expectAnswer(manager.post("/v1/staff").send(memberOf(name)), 201);
      });
      const kept = await app.context.db.rows<{ kind: string }>(
        "SELECT kind FROM ledger WHERE id = $1::text::uuid OR strpos(data::text, $2::text) > 0 ORDER BY kind",
        [body.id, name],
      );
      expect(kept.map(({ kind }) => kind)).toEqual(["daily-check", "depot-added", "person-added"]);
    });
  }

  test("and loses each time, is answered with 503 and when to try again", async () => {
    const machineId = await addTestMachine(app);
    const [rider, manager] = [await as("R001"), await as("F001")];
    await refusing("'lost' USING ERRCODE = '40001'", null, async () => {
      for (const call of [
        rider.post("/v1/daily-checks").send(checkFinding(app, machineId, "fuel.drips")),
        manager.post("/v1/depots").send(depotOf(newName())),
      ]) {
        const answer = await call;
        expect([answer.status, answer.body.code]).toEqual([503, "not-ready"]);
        expect(answer.headers).toHaveProperty("retry-after");
      }
    });
  });
});

describe("a value that has to be the only one", () => {
  type Send = (value: string) => PromiseLike<Response>;
  const cases: readonly (readonly [what: string, code: string, ready: () => Promise<Send>])[] = [
    [
      "an added machine's mark",
      "mark-taken",
      async () => {
        const [manager, machine] = [await as("F001"), await machineOf("")];
        return (registrationMark) => manager.post("/v1/machines").send({ ...machine, registrationMark });
      },
    ],
    [
      "an amended machine's mark",
      "mark-taken",
      async () => {
        const [manager, machineId] = [await as("F001"), await addTestMachine(app)];
        return (registrationMark) => manager.patch(`/v1/machines/${machineId}`).send({ registrationMark });
      },
    ],
    [
      "an added depot's name",
      "name-taken",
      async () => {
        const manager = await as("F001");
        return (name) => manager.post("/v1/depots").send(depotOf(name));
      },
    ],
    [
      "an amended depot's name",
      "name-taken",
      async () => {
        const manager = await as("F001");
        return (name) => manager.patch(`/v1/depots/${app.cast.farDepotId}`).send({ name });
      },
    ],
    [
      "an added model's name",
      "name-taken",
      async () => {
        const manager = await as("F001");
        return (name) => manager.post("/v1/models").send(testModel(name));
      },
    ],
    [
      "a revised model's name",
      "name-taken",
      async () => {
        const manager = await as("F001");
        const { id } = await expectAnswer(manager.post("/v1/models").send(testModel(newName())), 201);
        return (name) => manager.put(`/v1/models/${id}`).send({ ...testModel(name), revision: 1 });
      },
    ],
    [
      "an added person's number",
      "staff-number-taken",
      async () => {
        const manager = await as("F001");
        return (staffNumber) => manager.post("/v1/staff").send(memberOf(staffNumber));
      },
    ],
  ];
  const broken = (constraint: string): string =>
    `'duplicate key value violates unique constraint "${constraint}"' USING ERRCODE = '23505', CONSTRAINT = '${constraint}'`;

  test.each(cases)("%s is called taken where it is", async (_what, code, ready) => {
    await addTestMachine(app);
    const manager = await as("F001");
    const taken = newName();
    await expectAnswer(manager.post("/v1/machines").send(await machineOf(taken)), 201);
    await expectAnswer(manager.post("/v1/depots").send(depotOf(taken)), 201);
    await expectAnswer(manager.post("/v1/models").send(testModel(taken)), 201);
    await expectAnswer(manager.post("/v1/staff").send(memberOf(taken)), 201);
    const send = await ready();
    await expectAnswer(send(taken), 409, code);
  });

  test.each(cases)("%s is not called taken where another value is", async (_what, _code, ready) => {
    await addTestMachine(app);
    const send = await ready();
    const answer = await refusing(broken("another_key"), null, async () => await send(newName()));
    expect([answer.status, answer.body.code]).toEqual([500, "internal"]);
  });

  test("an id that something else took at the same moment is looked for again", async () => {
    const manager = await as("F001");
    const hold = { id: randomUUID(), depotId: app.cast.farDepotId, reason: "An examiner asks" };
    const { id: depotId } = await expectAnswer(manager.post("/v1/depots").send(depotOf(newName())), 201);
    const [added] = await app.context.db.rows<{ id: string }>("SELECT id FROM ledger WHERE data->>'depotId' = $1::text", [depotId]);
    const correction = { id: randomUUID(), right: "x", reason: "y" };
    await refusing(broken("ledger_pkey"), 2, async () => {
      await expectAnswer(manager.post("/v1/holds").send(hold), 201);
      await expectAnswer(manager.post(`/v1/records/${added?.id}/corrections`).send(correction), 201);
    });
    await expectAnswer(manager.post("/v1/holds").send(hold), 200);
    await expectAnswer(manager.post(`/v1/records/${added?.id}/corrections`).send(correction), 200);
  });
});
