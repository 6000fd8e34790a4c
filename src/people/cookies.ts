// A session of the pages: the same tokens, in cookies that no script can read. Whoever sends a token in a header is not asked about any of this.
import type { FastifyReply, FastifyRequest } from "fastify";
import type { SignedIn } from "../../shared/contracts/people.ts";
import type { PeopleContext } from "./context.ts";
import { peopleErrors } from "./errors.ts";
import { deviceDays, idleHours } from "./rules.ts";
import type { SignInSource } from "./sign-in-source.ts";
import { noRefreshToken } from "./tokens.ts";

const access = "ferrule-access";
const refresh = "ferrule-refresh";

/** The refresh token goes to the one address that takes it, and nowhere else. */
const refreshPath = "/v1/session/renewal";

const kept = (context: PeopleContext, request: FastifyRequest) => ({
  httpOnly: true,
  sameSite: "strict" as const,
  // A desk without TLS has to work too; in production there is always a proxy with TLS, whether or not it is named.
  secure: context.config.environment === "production" || request.protocol === "https",
});

const device = "ferrule-device";

/** Where a call comes from, as wrong secrets are counted. */
export function sourceOf(request: FastifyRequest): SignInSource {
  const token = request.cookies[device];
  return { address: request.ip, deviceToken: token !== undefined && /^[\w-]{43}$/.test(token) ? token : null };
}

/** Leaves the mark by which this device is known again. It stays when its person signs out. */
export function rememberDevice(context: PeopleContext, request: FastifyRequest, reply: FastifyReply, deviceToken: string): void {
  reply.setCookie(device, deviceToken, { ...kept(context, request), path: "/v1", maxAge: deviceDays * 86_400 });
}

/** Puts the tokens of `signedIn` into cookies, and leaves the person as the answer. */
export function keepInCookies(context: PeopleContext, request: FastifyRequest, reply: FastifyReply, signedIn: SignedIn) {
  const { accessToken, refreshToken, ...session } = signedIn;
  reply.setCookie(access, accessToken, { ...kept(context, request), path: "/", maxAge: session.expiresInSeconds });
  reply.setCookie(refresh, refreshToken, { ...kept(context, request), path: refreshPath, maxAge: idleHours * 3600 });
  return session;
}

/** Takes the cookies away, if there are any. */
export function dropCookies(context: PeopleContext, request: FastifyRequest, reply: FastifyReply): void {
  reply.clearCookie(access, { ...kept(context, request), path: "/" });
  reply.clearCookie(refresh, { ...kept(context, request), path: refreshPath });
}

/** The access token that came in a cookie, from a page of this very service. Throws `cross-site`. */
export function accessCookieOf(request: FastifyRequest): string | undefined {
  const token = request.cookies[access];
  if (token !== undefined) mustBeOurPage(request);
  return token;
}

/** The refresh token that came in a cookie. Throws `not-signed-in`, `cross-site`. */
export function refreshCookieOf(request: FastifyRequest): string {
  const token = request.cookies[refresh];
  if (token === undefined) throw noRefreshToken();
  mustBeOurPage(request);
  return token;
}

/**
 * A browser sends cookies by itself, so another site's page could act in the rider's name. SameSite prevents that; this is the second check:
 * Fetch Metadata where the browser sends it, else the Origin header (RFC 6454). A call with neither may read but not write. Throws
 * `cross-site`.
 */
export function mustBeOurPage(request: FastifyRequest): void {
  const { "sec-fetch-site": site, origin, host } = request.headers;
  const reads = request.method === "GET" || request.method === "HEAD";
  // `none`: the address was typed, or opened from a bookmark.
  if (site === "same-origin" || (site === "none" && reads)) return;
  if (site === undefined && (origin === undefined ? reads : hostOf(origin) === host)) return;
  throw peopleErrors.problem("cross-site", "A session that is kept in cookies is for the pages of this service only. Nothing was stored.");
}

function hostOf(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}
