// The people's side of a call: who sent it, as they are at this moment.
import type { Readable } from "node:stream";
import { isDeepStrictEqual } from "node:util";
import type { FastifyRequest } from "fastify";
import type { Actor, Authenticate } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { accessCookieOf } from "./cookies.ts";
import { forgetSessions } from "./forget-sessions.ts";
import type { LiveSession } from "./sessions.ts";
import { readLiveSession } from "./store.ts";
import { noToken, sessionEnded } from "./tokens.ts";

export interface People {
  /** for `registerRoute`: throws `not-signed-in`, `token-expired` or `session-ended` */
  readonly authenticate: Authenticate;
  /** Stops listening; before the database is closed. */
  close(): Promise<void>;
}

/** Gets the service ready for people to sign in. */
export async function openPeople(context: PeopleContext): Promise<People> {
  const stop = await context.db.listen("ferrule_sessions", (sessionId) => forgetSessions(context, [sessionId]));
  return { authenticate: (request) => actorOf(context, tokenOf(request)), close: stop };
}

const bearer = /^Bearer +([\w-]+\.[\w-]+\.[\w-]+)$/i;

/** The token of the Authorization header; without that header, the one in the cookie. */
function tokenOf(request: FastifyRequest): string | undefined {
  const { authorization } = request.headers;
  return authorization === undefined ? accessCookieOf(request) : bearer.exec(authorization)?.[1];
}

async function actorOf(context: PeopleContext, token: string | undefined): Promise<Actor> {
  if (token === undefined) throw noToken();
  const now = context.clock.now();
  const claims = await context.signIn.tokens.read(token, now);
  const session = await sessionIn(context, claims.sessionId, now);
  if (!session || session.person.id !== claims.staffId) throw sessionEnded();
  return actorIn(session);
}

const sessionIn = (context: PeopleContext, sessionId: string, now: Date): Promise<LiveSession | null> =>
  context.signIn.sessions.get(sessionId, now, () => readLiveSession(context.db, sessionId));

/** An event stream for somebody, which ends when they are signed out or lose a permission that they had when it began. Throws `too-many-calls`. */
export const eventsFor = (context: PeopleContext, actor: Actor, events: (stop: AbortSignal) => AsyncGenerator<string>): Readable =>
  context.streams.open(actor, () => isStillHere(context, actor), events);

async function isStillHere(context: PeopleContext, actor: Actor): Promise<boolean> {
  const session = await sessionIn(context, actor.sessionId, context.clock.now());
  return session !== null && isDeepStrictEqual(actorIn(session), actor);
}

function actorIn({ sessionId, person }: LiveSession): Actor {
  return {
    staffId: person.id,
    sessionId,
    staffNumber: person.staffNumber,
    name: person.name,
    role: person.role,
    roles: person.roles,
    depotIds: person.allDepots ? null : person.depotIds,
    competences: person.competences,
    mustChangeSecret: person.mustChangeSecret,
    licenceClass: person.licenceClass,
  };
}
