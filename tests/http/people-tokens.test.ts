import { mkdtemp, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { calculateJwkThumbprint, SignJWT } from "jose";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type KeySet, makeKeys, openKeys, readKeys } from "../../src/keys/index.ts";
import { accessTokenSeconds, readAccessToken, signAccessToken, TokenReader, verifyToken } from "../../src/people/tokens.ts";

const issuer = "ferrule";
const now = new Date("2026-07-13T04:30:00.000Z");
const about = { staffId: "019813f0-0000-7000-8000-000000000001", sessionId: "019813f0-0000-7000-8000-000000000002" };
const later = (seconds: number) => new Date(now.getTime() + seconds * 1000);

let keys: KeySet;
let folder: string;
beforeAll(async () => {
  keys = await readKeys(await makeKeys(), "test");
  folder = await mkdtemp(join(tmpdir(), "ferrule-keys-"));
});
afterAll(() => rm(folder, { recursive: true }));

const refused = (code: string) => expect.objectContaining({ code, status: 401 });

/** A token of our own making with something else in it. */
function forged(changes: { header?: object; claims?: object; by?: KeySet } = {}): Promise<string> {
  const at = Math.floor(now.getTime() / 1000);
  const claims = { iss: issuer, aud: issuer, sub: about.staffId, sid: about.sessionId, iat: at, exp: at + 900, ...changes.claims };
  return new SignJWT(claims)
    .setProtectedHeader({ alg: "ES256", typ: "at+jwt", ...changes.header })
    .sign((changes.by ?? keys).signingAt(new Date()).key);
}

// RFC 7515 A.3: key, token and claims from memory; a wrong memory fails the signature.
const rfcKey = {
  kty: "EC",
  crv: "P-256",
  x: "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",
  y: "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0",
  d: "jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI",
};
const rfcPayload = "eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
const rfcSignature = "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q";
const rfcToken = `eyJhbGciOiJFUzI1NiJ9.${rfcPayload}.${rfcSignature}`;
// RFC 7519 3.1: exp 1300819380 is 2011-03-22T18:43:00Z
const whileItHeld = new Date("2011-03-22T18:42:59.000Z");
const rfcKeys = () => readKeys(JSON.stringify({ keys: [rfcKey] }), "RFC 7515 A.3");

test("the ES256 token of RFC 7515 A.3 is verified with its key while it holds", async () => {
  const payload = await verifyToken(await rfcKeys(), rfcToken, whileItHeld, { issuer: "joe" });
  expect(payload).toEqual({ iss: "joe", exp: 1_300_819_380, "http://example.com/is_root": true });
});

test("the token of RFC 7515 A.3 is refused from the second of its exp on, and with one byte of its signature changed", async () => {
  const ring = await rfcKeys();
  await expect(verifyToken(ring, rfcToken, new Date(1_300_819_380_000), { issuer: "joe" })).rejects.toThrow(/exp/);
  const changed = rfcToken.replace(".DtEh", ".EtEh");
  await expect(verifyToken(ring, changed, whileItHeld, { issuer: "joe" })).rejects.toThrow(/signature/);
});

test("the HS256 token of RFC 7515 A.1 is refused for its algorithm", async () => {
  // Signature: RFC 7515 A.1; header with CR LF and spaces as published
  const token = `eyJ0eXAiOiJKV1QiLA0KICJhbGciOiJIUzI1NiJ9.${rfcPayload}.dBjftJeZ4CVP-mB92K27uhbUJU1p1r_wW1gFWFOEjXk`;
  await expect(verifyToken(await rfcKeys(), token, whileItHeld, { issuer: "joe" })).rejects.toMatchObject({
    code: "ERR_JOSE_ALG_NOT_ALLOWED",
  });
  await expect(readAccessToken(keys, issuer, token, now)).rejects.toEqual(refused("not-signed-in"));
});

test("the unsecured token of RFC 7515 A.5 is refused, and so is one of ours with its signature cut off", async () => {
  // alg none: RFC 7515 A.5
  await expect(readAccessToken(keys, issuer, `eyJhbGciOiJub25lIn0.${rfcPayload}.`, now)).rejects.toEqual(refused("not-signed-in"));
  const [header, payload] = (await signAccessToken(keys, issuer, about, now)).split(".");
  await expect(readAccessToken(keys, issuer, `${header}.${payload}.`, now)).rejects.toEqual(refused("not-signed-in"));
  const none = Buffer.from('{"alg":"none","typ":"at+jwt"}').toString("base64url");
  await expect(readAccessToken(keys, issuer, `${none}.${payload}.`, now)).rejects.toEqual(refused("not-signed-in"));
});

test("a token signed by HMAC with our public key as the secret is refused", async () => {
  const secret = new TextEncoder().encode(JSON.stringify(keys.publicSet.keys[0]));
  const token = await new SignJWT({ iss: issuer, aud: issuer, sub: about.staffId, sid: about.sessionId, iat: 1, exp: 9_999_999_999 })
    .setProtectedHeader({ alg: "HS256", typ: "at+jwt" })
    .sign(secret);
  await expect(readAccessToken(keys, issuer, token, now)).rejects.toEqual(refused("not-signed-in"));
});

test("the thumbprint of the RSA key of RFC 7638 3.1 is as published", async () => {
  // RFC 7638 3.1; modulus from memory, a wrong memory gives another thumbprint
  const n =
    "0vx7agoebGcQSuuPiLJXZptN9nndrQmbXEps2aiAFbWhM78LhWx4cbbfAAtVT86zwu1RK7aPFFxuhDR1L6tSoc_BJECPebWKRXjBZCiFV4n3oknjhMstn64tZ_2W-5JsGY4Hc5n9yBXArwl93lqt7_RN5w6Cf0h4QyQ5v-65YGjQR0_FDW2QvzqY368QQMicAtaSqzs8KJZgnYb9c7d0zgdAZHzu6qMQvRL5hajrn1n91CbOpbISD08qNLyrdkt-bFTWhAI4vMQFh6WeZu0fM4lFd2NcRwr3XPksINHaQ-G_xBniIqbw0Ls1jF44-csFCur-kEgU8awapJzKnqDKgw";
  expect(await calculateJwkThumbprint({ kty: "RSA", n, e: "AQAB" })).toBe("NzbLsXh8uDCcd-6MNwXF4W_7noWXFZAfHkxZsRGC9Xs");
});

test("a token of ours names the session and holds for 15 minutes less no second, by the clock handed in", async () => {
  const token = await signAccessToken(keys, issuer, about, now);
  expect(await readAccessToken(keys, issuer, token, later(accessTokenSeconds - 1))).toEqual({ ...about, expiresAt: later(900) });
  await expect(readAccessToken(keys, issuer, token, later(accessTokenSeconds))).rejects.toEqual(refused("token-expired"));
});

test("the header of a token of ours names algorithm, type and the key by its thumbprint", async () => {
  const [header] = (await signAccessToken(keys, issuer, about, now)).split(".");
  const { kid } = keys.signingAt(new Date());
  expect(JSON.parse(Buffer.from(header ?? "", "base64url").toString())).toEqual({ alg: "ES256", typ: "at+jwt", kid });
  const { kty, crv, x, y } = keys.publicSet.keys[0] ?? {};
  expect(await calculateJwkThumbprint({ kty, crv, x, y } as never)).toBe(kid);
});

test.each([
  ["of another issuer", { claims: { iss: "elsewhere" } }],
  ["for another audience", { claims: { aud: "elsewhere" } }],
  ["of another type", { header: { typ: "JWT" } }],
  ["without a session", { claims: { sid: undefined } }],
  ["without an end", { claims: { exp: undefined } }],
  ["whose subject is no id", { claims: { sub: "R001" } }],
])("a well signed token %s is refused", async (_what, changes) => {
  expect(await readAccessToken(keys, issuer, await forged(), now)).toMatchObject(about);
  const token = await forged(changes);
  await expect(readAccessToken(keys, issuer, token, now)).rejects.toEqual(refused("not-signed-in"));
});

test("a token signed by another key is refused, also where it claims to be by ours", async () => {
  const others = await readKeys(await makeKeys(), "others");
  await expect(readAccessToken(keys, issuer, await forged({ by: others }), now)).rejects.toEqual(refused("not-signed-in"));
  const claimed = await forged({ by: others, header: { kid: keys.signingAt(new Date()).kid } });
  await expect(readAccessToken(keys, issuer, claimed, now)).rejects.toEqual(refused("not-signed-in"));
});

test("a remembered token is refused once it has run out, and a changed one is never taken for it", async () => {
  const reader = new TokenReader(keys, issuer);
  const token = await signAccessToken(keys, issuer, about, now);
  expect(await reader.read(token, now)).toEqual(await reader.read(token, later(60)));
  await expect(reader.read(`${token.slice(0, -4)}AAAA`, now)).rejects.toEqual(refused("not-signed-in"));
  await expect(reader.read(token, later(900))).rejects.toEqual(refused("token-expired"));
  await expect(reader.read(token, later(901))).rejects.toEqual(refused("token-expired"));
});

test("with two keys the first signs and both verify", async () => {
  const [old, fresh] = [JSON.parse(await makeKeys()), JSON.parse(await makeKeys())];
  const before = await readKeys(JSON.stringify(old), "before");
  const after = await readKeys(JSON.stringify({ keys: [...fresh.keys, ...old.keys] }), "after");
  expect(await readAccessToken(after, issuer, await signAccessToken(before, issuer, about, now), now)).toMatchObject(about);
  const token = await signAccessToken(after, issuer, about, now);
  await expect(readAccessToken(before, issuer, token, now)).rejects.toEqual(refused("not-signed-in"));
});

test("the public set holds no private member", () => {
  expect(keys.publicSet.keys.map((key) => Object.keys(key).sort())).toEqual([["alg", "crv", "kid", "kty", "use", "x", "y"]]);
});

test("keys are made once, kept for the owner only, and read again at the next start", async () => {
  const config = { keys: null, dataFolder: join(folder, "data") };
  const first = await openKeys(config);
  const file = join(config.dataFolder, "keys.json");
  expect((await stat(file)).mode & 0o777).toBe(0o600);
  expect((await openKeys(config)).signingAt(new Date()).kid).toBe(first.signingAt(new Date()).kid);
});

test("two processes that make keys at the same moment end with the same ones", async () => {
  const config = { keys: null, dataFolder: join(folder, "race") };
  const [one, other] = await Promise.all([openKeys(config), openKeys(config)]);
  expect(one.signingAt(new Date()).kid).toBe(other.signingAt(new Date()).kid);
});

test.each(["", "{}", '{"keys":[]}', '{"keys":[{"kty":"RSA","d":"very-secret"}]}'])(
  "keys %j are refused without being repeated",
  async (json) => {
    const error = await openKeys({ keys: json, dataFolder: folder }).then(() => "taken", String);
    expect(error).toContain("FERRULE_KEYS");
    expect(error).not.toContain("very-secret");
  },
);
