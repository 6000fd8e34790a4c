// The people's side of a call: who sent it, as they are at this moment.
import { isDeepStrictEqual } from "node:util";
import type { FastifyRequest } from "fastify";
import { type KeyRing, signWith } from "../ledger/index.ts";
import { type Actor, type Authenticate, askAgainWith, type House } from "../platform/index.ts";
import { accessCookieOf } from "./cookies.ts";
import { type Desk, forgetSessions, openDesk } from "./desk.ts";
import type { LiveSession } from "./sessions.ts";
import { readLiveSession } from "./store.ts";
import { noToken, sessionEnded } from "./tokens.ts";

export interface People {
  /** for `registerRoute`: throws `not-signed-in`, `token-expired` or `session-ended` */
  readonly authenticate: Authenticate;
  /** Stops listening; before the database is closed. */
  close(): Promise<void>;
}

/** Gets the house ready for people to sign in, with the keys that tokens and records are signed with. */
export async function openPeople(house: House, keys: KeyRing): Promise<People> {
  signWith(house, keys);
  const desk = await openDesk(house, keys);
  askAgainWith(house, (actor) => isStillHere(house, desk, actor));
  const stop = await house.db.listen("ferrule_sessions", (sessionId) => forgetSessions(house, [sessionId]));
  return { authenticate: (request) => actorOf(house, desk, tokenOf(request)), close: stop };
}

const bearer = /^Bearer +([\w-]+\.[\w-]+\.[\w-]+)$/i;

/** The token of the Authorization header; without that header, the one in the cookie. */
function tokenOf(request: FastifyRequest): string | undefined {
  const { authorization } = request.headers;
  return authorization === undefined ? accessCookieOf(request) : bearer.exec(authorization)?.[1];
}

async function actorOf(house: House, desk: Desk, token: string | undefined): Promise<Actor> {
  if (token === undefined) throw noToken();
  const now = house.clock.now();
  const claims = await desk.tokens.read(token, now);
  const session = await sessionIn(house, desk, claims.sessionId, now);
  if (!session || session.person.id !== claims.staffId) throw sessionEnded();
  return actorIn(session);
}

const sessionIn = (house: House, desk: Desk, sessionId: string, now: Date): Promise<LiveSession | null> =>
  desk.sessions.get(sessionId, now, () => readLiveSession(house.db, sessionId));

/** Whether the session of somebody who watches is alive, and they may what they might when they began. */
async function isStillHere(house: House, desk: Desk, actor: Actor): Promise<boolean> {
  const session = await sessionIn(house, desk, actor.sessionId, house.clock.now());
  return session !== null && isDeepStrictEqual(actorIn(session), actor);
}

function actorIn({ sessionId, person }: LiveSession): Actor {
  return {
    staffId: person.id,
    sessionId,
    staffNumber: person.staffNumber,
    name: person.name,
    role: person.role,
    depotIds: person.allDepots ? null : person.depotIds,
    competences: person.competences,
    mustChangeSecret: person.mustChangeSecret,
    licenceClass: person.licenceClass,
  };
}
