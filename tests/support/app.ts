// The service as a client meets it: listening on a port of this machine, with the cast in place.
import type { FastifyInstance } from "fastify";
import supertest from "supertest";
import type TestAgent from "supertest/lib/agent.js";
import type { SignedIn } from "../../shared/contracts/people.ts";
import { buildApp } from "../../src/app.ts";
import type { KeySet } from "../../src/keys/index.ts";
import { openPeople } from "../../src/people/index.ts";
import { type Cast, castFirm, codeOf, secretOf } from "./cast.ts";
import { openTestContext, type TestContext } from "./context.ts";

export type Client = TestAgent;

/** The service on a context, listening. */
export interface Served {
  readonly context: TestContext;
  readonly app: FastifyInstance;
  readonly keys: KeySet;
  /** closes the service and its context */
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

/** Opens the service on a context in which a firm was founded. */
export async function openServed(context: TestContext): Promise<Served> {
  const people = await openPeople(context);
  const app = await buildApp(context, people.authenticate);
  await app.listen({ port: 0, host: "127.0.0.1" });
  return {
    ...{ context, app, keys: context.keys },
    close: async () => {
      await app.close();
      await people.close();
      await context.close();
    },
  };
}

/** Opens the service on `context`, or on a new one, and founds the firm there with the cast. */
export async function openTestApp(given?: TestContext): Promise<TestApp> {
  const context = given ?? (await openTestContext());
  const cast = await castFirm(context);
  const served = await openServed(context);
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
