// The service as a client meets it: listening on a port of this machine, with the cast in place.
import type { FastifyInstance } from "fastify";
import supertest from "supertest";
import type TestAgent from "supertest/lib/agent.js";
import type { SignedIn } from "../../shared/contracts/people.ts";
import { buildApp } from "../../src/app.ts";
import type { KeySet } from "../../src/ledger/index.ts";
import { openPeople } from "../../src/people/index.ts";
import { type Cast, castFirm, codeOf, secretOf } from "./cast.ts";
import { openTestHouse, type TestHouse } from "./house.ts";

export type Client = TestAgent;

/** The service on a house, listening. */
export interface Served {
  readonly house: TestHouse;
  readonly app: FastifyInstance;
  readonly keys: KeySet;
  /** closes the service and the house */
  close(): Promise<void>;
}

export interface TestApp extends Served {
  readonly cast: Cast;
  /** sends no token */
  readonly anyone: Client;
  /** a client that sends this token */
  clientWith(accessToken: string): Client;
  /** the tokens of a new session */
  tokensOf(staffNumber: string): Promise<SignedIn>;
  /** a client in a new session of that person */
  readonly signIn: (staffNumber: string) => Promise<Client>;
  /** somebody added with this one-time code, `codeOf` unless said, chooses their own secret, `secretOf`: a client in that session */
  readonly settleIn: (staffNumber: string, code?: string) => Promise<Client>;
}

/** Opens the service on a house in which a firm was founded. */
export async function openServed(house: TestHouse): Promise<Served> {
  const people = await openPeople(house);
  const app = await buildApp(house, people.authenticate);
  await app.listen({ port: 0, host: "127.0.0.1" });
  return {
    ...{ house, app, keys: house.keys },
    close: async () => {
      await app.close();
      await people.close();
      await house.close();
    },
  };
}

/** Opens the service on `house`, or on a new one, and founds the firm there with the cast. */
export async function openTestApp(given?: TestHouse): Promise<TestApp> {
  const house = given ?? (await openTestHouse());
  const cast = await castFirm(house);
  const served = await openServed(house);
  const { app } = served;
  const anyone = supertest.agent(app.server);
  const clientWith = (accessToken: string): Client => supertest.agent(app.server).set("authorization", `Bearer ${accessToken}`);
  const tokensOf = async (staffNumber: string): Promise<SignedIn> => {
    const answer = await anyone.post("/v1/sign-in").send({ staffNumber, secret: secretOf(staffNumber) });
    if (answer.status !== 200) throw new Error(`${staffNumber} could not sign in: ${answer.text}`);
    return answer.body as SignedIn;
  };
  return {
    ...served,
    ...{ cast, anyone, clientWith, tokensOf },
    signIn: async (staffNumber) => clientWith((await tokensOf(staffNumber)).accessToken),
    settleIn: async (staffNumber, code = codeOf(staffNumber)) => {
      const answer = await anyone.post("/v1/sign-in").send({ staffNumber, secret: code }).expect(200);
      const client = clientWith((answer.body as SignedIn).accessToken);
      await client
        .put("/v1/me/secret")
        .send({ current: code, secret: secretOf(staffNumber) })
        .expect(200);
      return client;
    },
  };
}
