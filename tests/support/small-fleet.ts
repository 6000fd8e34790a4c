// A small fleet for tests over HTTP, and the question whether a refused call left anything behind.
import type { Response } from "supertest";
import { expect } from "vitest";
import type { Machine, MachineModel } from "../../shared/contracts/fleet.ts";
import type { Client, TestApp } from "./app.ts";
import type { TestDatabase } from "./checked-rows.ts";
import { electricMachine, testModel } from "./machines.ts";

export const electricModel = (name: string) => ({ name, engineCc: null, features: electricMachine, handbook: {} });

export interface SmallFleet {
  readonly app: TestApp;
  readonly manager: Client;
  /** of the far depot only */
  readonly farManager: Client;
  readonly mechanic: Client;
  readonly rider: Client;
  readonly farRider: Client;
  readonly auditor: Client;
  readonly model: MachineModel;
  /** adds a machine to the home depot, or as `changes` say */
  add(registrationMark: string, changes?: object): Promise<Machine>;
}

/** Signs everybody in and adds one model. */
export async function openSmallFleet(app: TestApp): Promise<SmallFleet> {
  const manager = await app.signIn("F001");
  const model = (await manager.post("/v1/models").send(testModel("Model A")).expect(201)).body as MachineModel;
  return {
    app,
    manager,
    farManager: await app.signIn("F101"),
    mechanic: await app.signIn("M001"),
    rider: await app.signIn("R001"),
    farRider: await app.signIn("R101"),
    auditor: await app.signIn("A001"),
    model,
    add: async (registrationMark, changes = {}) =>
      (
        await manager
          .post("/v1/machines")
          .send({ ...machineBody(app, model.id, registrationMark), ...changes })
          .expect(201)
      ).body as Machine,
  };
}

export const machineBody = (app: TestApp, modelId: string, registrationMark: string) => ({
  registrationMark,
  modelId,
  depotId: app.cast.homeDepotId,
  odometerKm: 1200,
  inServiceFrom: "2026-07-01",
});

const tables = [
  "firm",
  "depot",
  "machine_model",
  "machine",
  "machine_state_history",
  "paper",
  "paper_ending",
  "allocation",
  "allocation_line",
  "part",
  "part_price",
  "stock_record",
  "ledger",
];

/** A fingerprint of everything that the fleet may write. */
export async function stored(db: TestDatabase): Promise<string> {
  const sums = tables.map((table) => `coalesce((SELECT md5(string_agg(t::text, '|' ORDER BY t::text)) FROM ${table} t), '')`);
  const [row] = await db.rows<{ sum: string }>(`SELECT concat_ws(' ', ${sums.join(", ")}) AS sum`);
  return row?.sum ?? "";
}

/** Expects a refusal with this status and code, naming these fields, that leaves nothing behind. */
export async function expectRefused(
  { context }: TestApp,
  send: () => PromiseLike<Response>,
  status: number,
  code: string,
  pointers?: readonly string[],
): Promise<Response> {
  const before = await stored(context.db);
  const answer = await send();
  expect({ status: answer.status, code: answer.body.code }, answer.text).toEqual({ status, code });
  expect(answer.headers["content-type"]).toContain("application/problem+json");
  if (pointers) expect(answer.body.issues.map(({ pointer }: { pointer: string }) => pointer)).toEqual(pointers);
  expect(await stored(context.db)).toBe(before);
  return answer;
}

/** The latest entries of the firm's or a machine's chain, newest last. */
export const chainOf = (db: TestDatabase, chainId: string | null): Promise<{ kind: string; staffId: string | null; data: unknown }[]> =>
  db.rows(
    `SELECT kind, staff_id AS "staffId", data FROM ledger
     WHERE chain_id = coalesce($1::text::uuid, (SELECT id FROM firm)) ORDER BY position`,
    [chainId],
  );
