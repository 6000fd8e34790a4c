// `npm run keys:rotate` while two processes serve one database: published first, signing later, over at the end. Each process is restarted in
// its turn while people go on calling, and nobody is refused.
import type { ChildProcess } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { makeKeys, readClaim, readKeys } from "../../src/keys/index.ts";
import { signAccessToken } from "../../src/people/tokens.ts";
import { castFirm, secretOf } from "../support/cast.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { onServer, openTestDatabase } from "../support/database.ts";
import { portOf, type Started, startProcess } from "../support/service-process.ts";

interface Held {
  access: string;
  refresh: string;
}
interface Place {
  started: Started;
  url: string;
  /** those who send calls on send none here any more */
  out: boolean;
  underWay: number;
}

// The embedded database belongs to one process.
describe.runIf(onServer())("a key takes the place of another in two processes on one server", { timeout: 600_000 }, () => {
  const running = new Set<ChildProcess>();
  let context: TestContext;
  let data: string;
  let address = "";
  const places: Place[] = [];
  /** what was answered with something else than what was asked for, by anybody at any time */
  const refused: string[] = [];
  let calling = true;
  const callers: Promise<void>[] = [];

  const environment = (): Record<string, string> => ({
    ...{ NODE_ENV: "production", PORT: "0", LOG_LEVEL: "warn", DATABASE_LIMIT_MS: "60000" },
    ...{ FERRULE_DATA: data, DATABASE_URL: address, RATE_LIMIT_PER_MINUTE: "1000000", SIGN_IN_LIMIT_PER_MINUTE: "1000000" },
  });
  async function open(): Promise<Place> {
    const started = startProcess([".config/start.mjs"], environment(), running);
    return { started, url: `http://127.0.0.1:${portOf(await started.says("Ferrule is at"))}`, out: false, underWay: 0 };
  }
  const isQuiet = (place: Place) => expect.poll(() => place.underWay, { timeout: 60_000 }).toBe(0);
  /** As a rolling restart does it: sent nothing more, ended, and its follower takes its place. */
  async function restart(at: number): Promise<void> {
    const before = places[at] as Place;
    before.out = true;
    await isQuiet(before);
    before.started.child.kill("SIGTERM");
    expect(await before.started.ended).toBe(0);
    places[at] = await open();
  }

  async function call(place: Place, path: string, { token, body }: { token?: string; body?: object } = {}): Promise<Response> {
    place.underWay += 1;
    try {
      const headers = { "content-type": "application/json", ...(token && { authorization: `Bearer ${token}` }) };
      const answer = await fetch(`${place.url}${path}`, { headers, ...(body && { method: "POST", body: JSON.stringify(body) }) });
      return new Response(await answer.arrayBuffer(), answer);
    } finally {
      place.underWay -= 1;
    }
  }
  async function mustTake<T>(place: Place, path: string, asked: { token?: string; body?: object } = {}): Promise<T> {
    const answer = await call(place, path, asked);
    if (!answer.ok) {
      const why = `${path} at ${places.indexOf(place)}: ${answer.status} ${await answer.text()}`;
      refused.push(why);
      throw new Error(why);
    }
    return (await answer.json()) as T;
  }
  const signedIn = ({ accessToken, refreshToken }: { accessToken: string; refreshToken: string }): Held => ({
    access: accessToken,
    refresh: refreshToken,
  });
  const signIn = async (place: Place, staffNumber: string): Promise<Held> =>
    signedIn(await mustTake(place, "/v1/sign-in", { body: { staffNumber, secret: secretOf(staffNumber) } }));
  const kidOf = (token: string): string => JSON.parse(Buffer.from(token.split(".")[0] ?? "", "base64url").toString()).kid;
  const published = async (place: Place): Promise<PublicKeySet["keys"]> =>
    (await mustTake<PublicKeySet>(place, "/.well-known/jwks.json")).keys;

  /** Somebody who calls without a pause, wherever calls go, each token at both, and renews it every few calls. */
  async function goOnCalling(staffNumber: string): Promise<void> {
    let held = await signIn(places[0] as Place, staffNumber);
    for (let n = 0; calling; n += 1) {
      const ready = places.filter(({ out }) => !out);
      const place = ready[n % ready.length] as Place;
      await mustTake(place, "/v1/me", { token: held.access });
      if (n % 6 === 5) held = signedIn(await mustTake(place, "/v1/sign-in/renewal", { body: { refreshToken: held.refresh } }));
    }
  }

  interface Checkpoint {
    readonly number: number;
    readonly kid: string;
    readonly jws: string;
  }
  const checkpoints = async (place: Place, token: string): Promise<Checkpoint[]> =>
    (await mustTake<{ items: Checkpoint[] }>(place, "/v1/checkpoints?limit=200", { token })).items;
  /** Orders the month so far at one process, and fetches it there; the path of the file. */
  async function packFrom(place: Place, token: string): Promise<string> {
    const month = new Date().toISOString().slice(0, 7);
    const { id } = await mustTake<{ id: string }>(place, "/v1/audit-packs", { token, body: { month } });
    const state = async () => (await mustTake<{ state: string }>(place, `/v1/audit-packs/${id}`, { token })).state;
    await expect.poll(state, { timeout: 120_000, interval: 300 }).toBe("ready");
    const answer = await call(place, `/v1/audit-packs/${id}/download`, { token });
    expect(answer.status).toBe(200);
    const path = join(data, `${id}-fetched.zip`);
    await writeFile(path, Buffer.from(await answer.arrayBuffer()));
    return path;
  }
  /** What both processes say of what was given out so far: tokens taken, checkpoints and packs by keys that they publish. */
  async function expectTaken(tokens: readonly string[], packs: readonly string[]): Promise<void> {
    for (const place of places) {
      for (const token of tokens) await mustTake(place, "/v1/me", { token });
      const keys = await published(place);
      for (const { jws, kid } of await checkpoints(place, tokens.at(-1) ?? "")) {
        expect(await readClaim(keys, "checkpoint", jws)).toMatchObject({ kid });
      }
      for (const path of packs) {
        const verdict = await verifyPack(path);
        expect(verdict).toMatchObject({ holds: true });
        expect(keys.map(({ kid }) => kid)).toContain(verdict.holds && verdict.kid);
      }
    }
  }

  const keysFile = (): string => join(data, "keys.json");
  /** Brings the moments of a rotation nearer, since nobody waits for hours: those of the new key and of the old one, in minutes from now. */
  async function moveMoments({ signs, over }: { signs: number; over: number }): Promise<void> {
    const { keys } = JSON.parse(await readFile(keysFile(), "utf8")) as { keys: { signsFrom?: string; believedUntil?: string }[] };
    const at = (minutes: number): string => new Date(Date.now() + minutes * 60_000).toISOString();
    const moved = keys.map((key) => ({
      ...key,
      ...(key.signsFrom && { signsFrom: at(signs) }),
      ...(key.believedUntil && { believedUntil: at(over) }),
    }));
    await writeFile(keysFile(), JSON.stringify({ keys: moved }));
  }

  beforeAll(async () => {
    data = await mkdtemp(join(tmpdir(), "ferrule-rotated-"));
    const through = (server: URL): URL => {
      address = server.href;
      return server;
    };
    context = await openTestContext(undefined, {}, await openTestDatabase({ through }));
    await castFirm(context);
    await writeFile(keysFile(), await makeKeys(), { mode: 0o600 });
    places.push(await open(), await open());
  });
  afterAll(async () => {
    calling = false;
    await Promise.allSettled(callers);
    const ends = [...running].map((child) => new Promise((ended) => child.once("close", ended)));
    for (const child of running) child.kill("SIGTERM");
    await Promise.all(ends);
    await context.close();
    await rm(data, { recursive: true, force: true });
  });

  let oldSet = "";
  let oldKid = "";
  let newKid = "";
  const tokens: string[] = [];
  const packs: string[] = [];

  test("rotated while they serve and restarted one after the other, both publish the new key, and the old one goes on signing", async () => {
    oldSet = await readFile(keysFile(), "utf8");
    const auditor = await signIn(places[0] as Place, "A001");
    tokens.push(auditor.access);
    oldKid = kidOf(auditor.access);
    packs.push(await packFrom(places[1] as Place, auditor.access));
    for (const staffNumber of ["M001", "R001", "F001"])
      callers.push(goOnCalling(staffNumber).catch((error) => void refused.push(String(error))));

    const command = startProcess([".config/run.mjs", "src/rotate-keys.ts", "1"], environment(), running);
    expect(await command.ended, command.lines.join("\n")).toBe(0);
    const told = await command.says("signs from");
    newKid = /The key (\S+) signs from/.exec(told)?.[1] ?? "";
    expect(newKid).not.toBe(oldKid);
    await restart(0);
    await expectTaken(tokens, packs);
    await restart(1);
    for (const place of places) expect((await published(place)).map(({ kid }) => kid).sort()).toEqual([oldKid, newKid].sort());
    expect(kidOf((await signIn(places[1] as Place, "A001")).access)).toBe(oldKid);
    expect(refused).toEqual([]);
  });

  test("from its moment on the new key signs: whichever process has noticed, each takes what the other signs, and all of before", async () => {
    await moveMoments({ signs: -1, over: 60 });
    await restart(0);
    const [byNew, byOld] = [await signIn(places[0] as Place, "A001"), await signIn(places[1] as Place, "A001")];
    expect([kidOf(byNew.access), kidOf(byOld.access)]).toEqual([newKid, oldKid]);
    tokens.push(byNew.access, byOld.access);
    await expectTaken(tokens, packs);
    await restart(1);
    packs.push(await packFrom(places[0] as Place, byNew.access));
    const made = await verifyPack(packs.at(-1) ?? "");
    expect(made).toMatchObject({ holds: true, kid: newKid });
    expect(new Set((await checkpoints(places[0] as Place, byNew.access)).map(({ kid }) => kid))).toEqual(new Set([oldKid, newKid]));
    await expectTaken(tokens, packs);
    expect(refused).toEqual([]);
  });

  test("once the old key is over, nobody who calls notices; its private half opens no door at either, and what it signed still verifies", async () => {
    // Whoever calls has renewed since: their tokens are by the new key.
    await moveMoments({ signs: -2, over: -1 });
    await restart(0);
    await restart(1);
    const [, byNew = ""] = tokens;
    await expectTaken([byNew], packs);
    const stolen = await readKeys(oldSet, "the old keys");
    const { sub, sid } = JSON.parse(Buffer.from(byNew.split(".")[1] ?? "", "base64url").toString());
    const forged = await signAccessToken(stolen, "ferrule", { staffId: sub, sessionId: sid }, new Date());
    for (const place of places) {
      for (const token of [forged, tokens[0] ?? ""]) expect((await call(place, "/v1/me", { token })).status).toBe(401);
      expect((await published(place)).map(({ kid }) => kid).sort()).toEqual([oldKid, newKid].sort());
    }
    calling = false;
    await Promise.all(callers);
    expect(refused).toEqual([]);
  });
});
