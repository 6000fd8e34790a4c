// People at hand on a moved clock, and the acts that tests do again and again over HTTP.
import { randomUUID } from "node:crypto";
import type { Response } from "supertest";
import { expect } from "vitest";
import type { Readiness } from "../../shared/contracts/readiness.ts";
import type { Client, TestApp } from "./app.ts";

export type As = (staffNumber: string) => Promise<Client>;

/** Clients by staff number; each signs in again once its token is about to run out. */
export function peopleAtHand(app: TestApp): As {
  const held = new Map<string, { client: Client; until: number }>();
  return async (staffNumber) => {
    const now = app.context.clock.now().getTime();
    const known = held.get(staffNumber);
    if (known && known.until > now) return known.client;
    const client = await app.signIn(staffNumber);
    held.set(staffNumber, { client, until: now + 10 * 60_000 });
    return client;
  };
}

/** Expects a status, and a problem's code where one is named; answers the body. */
// biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
export async function expectAnswer(answer: PromiseLike<Response>, status: number, code?: string): Promise<any> {
  const got = await answer;
  expect({ status: got.status, code: got.body?.code }, got.text).toEqual({ status, code });
  return got.body;
}

/** What was answered to something that is taken, the first time or again. */
export async function sent<Body>(answer: PromiseLike<{ status: number; text: string; body: Body }>): Promise<Body> {
  const { status, text, body } = await answer;
  expect([200, 201], text).toContain(status);
  return body;
}

export type BoardMachine = Readiness["machines"][number];

/** The whole board, now or at a past moment. */
export async function boardOf(as: As, query: { depotId?: string; at?: string } = {}): Promise<Readiness> {
  return expectAnswer((await as("F001")).get("/v1/readiness").query(query), 200);
}

/** The machine's line of the board. */
export async function onBoard(as: As, machineId: string, query: { depotId?: string; at?: string } = {}): Promise<BoardMachine> {
  const line = (await boardOf(as, query)).machines.find((machine) => machine.machineId === machineId);
  if (!line) throw new Error("the machine is not on the board");
  return line;
}

/** A report of `observationId` made now, or as `changes` say. */
export const reportOf = (app: TestApp, machineId: string, observationId: string, changes: object = {}) => ({
  id: randomUUID(),
  machineId,
  seenAt: app.context.clock.now().toISOString(),
  observationIds: [observationId],
  ...changes,
});

/** A repair made now with one part, or as `changes` say. */
export const repairOf = (app: TestApp, changes: object = {}) => ({
  id: randomUUID(),
  performedAt: app.context.clock.now().toISOString(),
  workDone: "Put right",
  parts: [{ name: "Part", quantity: 1 }],
  ...changes,
});

/** Reports, repairs (M001) and signs off (M002); answers the defect's id. The clock moves by a minute before each act. */
export async function throughItsCourse(app: TestApp, as: As, machineId: string, observationId: string, reading?: object): Promise<string> {
  const step = () => app.context.clock.advance(60_000);
  step();
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, observationId)), 201);
  step();
  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
  step();
  const signOff = { id: randomUUID(), ...(reading ? { reading } : {}) };
  await expectAnswer((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send(signOff), 201);
  return defect.id;
}
