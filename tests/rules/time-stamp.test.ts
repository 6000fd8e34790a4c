// What has to hold of a time-stamp (RFC 3161). openssl is the authority, and the second opinion on what is taken.
import { createHash, randomBytes } from "node:crypto";
import { fromBER, Sequence, Set as SetBlock } from "asn1js";
import { ContentInfo, SignedData, TSTInfo } from "pkijs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { readAuthorities } from "../../src/witness/authorities.ts";
import { readAnswer, readToken, stampRequest } from "../../src/witness/time-stamp.ts";
import { hasOpenssl, makeTimeAuthority, type TimeAuthority } from "../support/time-authority.ts";

const of = Buffer.from("what is shown to the witness");
const nonce = 0xfedc_ba98_7654_3210n;
const sha256 = (bytes: Buffer): string => createHash("sha256").update(bytes).digest("hex");

/** What the token says, as it was signed. */
function saidIn(token: Buffer): Buffer {
  const signed = new SignedData({ schema: new ContentInfo({ schema: fromBER(new Uint8Array(token)).result }).content });
  return Buffer.from(signed.encapContentInfo.eContent?.getValue() ?? new ArrayBuffer(0));
}

describe.skipIf(!hasOpenssl())("a time-stamp", () => {
  let authority: TimeAuthority;
  let stranger: TimeAuthority;
  let believed: Awaited<ReturnType<typeof readAuthorities>>;
  let token: Buffer;
  beforeAll(async () => {
    [authority, stranger] = await Promise.all([makeTimeAuthority(), makeTimeAuthority({ key: "rsa" })]);
    believed = await readAuthorities(authority.rootFile);
    token = (await readAnswer(await authority.answer(stampRequest(of, nonce)), { of, nonce }, believed)).token;
  });
  afterAll(() => Promise.all([authority.remove(), stranger.remove()]));

  test("of openssl is taken, with the moment and the name that it says, and openssl takes the token that is kept", async () => {
    const before = Date.now();
    const { token: kept, stamp } = await readAnswer(await authority.answer(stampRequest(of, nonce)), { of, nonce }, believed);
    expect(stamp).toEqual({ at: expect.any(Date), accuracyMs: 1000, authority: "Test Clock good, Made up for a test" });
    expect(Math.abs(stamp.at.getTime() - before)).toBeLessThan(60_000);
    expect(await authority.complaint(kept, sha256(of))).toBeNull();
    expect(await readToken(kept, of, believed)).toEqual(stamp);
  });

  test.each([0n, 1n, 0x7fff_ffff_ffff_ffffn, 0x8000_0000_0000_0000n, 0xffff_ffff_ffff_ffffn])(
    "answers a question with the number %s",
    async (one) => {
      const answer = await authority.answer(stampRequest(of, one));
      expect((await readAnswer(answer, { of, nonce: one }, believed)).stamp.authority).toContain("Test Clock");
      await expect(readAnswer(answer, { of, nonce: one ^ 1n }, believed)).rejects.toMatchObject({ code: "nonce" });
    },
  );

  test("signed with RSA and SHA-512 is taken too", async () => {
    const answer = await stranger.answer(stampRequest(of, nonce), { digest: "sha512" });
    const own = await readAuthorities(stranger.rootFile);
    expect((await readAnswer(answer, { of, nonce }, own)).stamp.authority).toContain("Test Clock");
  });

  test("of an authority that nobody named is refused where some are named, and read where none are", async () => {
    const answer = await stranger.answer(stampRequest(of, nonce));
    await expect(readAnswer(answer, { of, nonce }, believed)).rejects.toMatchObject({ code: "authority" });
    expect((await readAnswer(answer, { of, nonce }, null)).stamp.authority).toContain("Test Clock");
  });

  test("of other bytes is refused", async () => {
    await expect(readToken(token, Buffer.from("something else"), believed)).rejects.toMatchObject({ code: "imprint" });
  });

  test.each([
    ["not-critical", "use"],
    ["for-more", "use"],
    ["for-else", "use"],
  ] as const)("by a certificate that is %s is refused, whoever is believed", async (signer, code) => {
    const signed = await authority.sign(saidIn(token), { signer });
    await expect(readToken(signed, of, believed)).rejects.toMatchObject({ code });
    await expect(readToken(signed, of, null)).rejects.toMatchObject({ code });
  });

  test("that does not name its certificate in what was signed is refused, and the same with it is taken", async () => {
    const said = saidIn(token);
    await expect(readToken(await authority.sign(said, { signer: "good", names: false }), of, believed)).rejects.toMatchObject({
      code: "certificate",
    });
    expect((await readToken(await authority.sign(said, { signer: "good" }), of, believed)).authority).toContain("good");
  });

  test("signed over SHA-1 is refused", async () => {
    const signed = await authority.sign(saidIn(token), { signer: "good", digest: "sha1" });
    await expect(readToken(signed, of, believed)).rejects.toMatchObject({ code: "weak" });
  });

  test("whose moment was changed after it was signed is refused", async () => {
    const at = token.indexOf(
      TSTInfo.fromBER(new Uint8Array(saidIn(token)))
        .genTime.toISOString()
        .slice(0, 4),
    );
    const changed = Buffer.from(token);
    changed.write("2001", at);
    await expect(readToken(changed, of, believed)).rejects.toMatchObject({
      code: expect.stringMatching(/^(signature|authority|expired)$/),
    });
    await expect(readToken(changed, of, null)).rejects.toMatchObject({ code: "signature" });
  });

  test("that says a moment at which its certificate did not hold is refused", async () => {
    const said = TSTInfo.fromBER(new Uint8Array(saidIn(token)));
    said.genTime = new Date("2001-01-01T00:00:00Z");
    const signed = await authority.sign(Buffer.from(said.toSchema().toBER()), { signer: "good" });
    await expect(readToken(signed, of, null)).rejects.toMatchObject({ code: "expired" });
    await expect(readToken(signed, of, believed)).rejects.toMatchObject({ code: "authority" });
  });

  test("with a second signature beside it is refused", async () => {
    const info = new ContentInfo({ schema: fromBER(new Uint8Array(token)).result });
    const signed = new SignedData({ schema: info.content });
    signed.signerInfos.push(...signed.signerInfos);
    const twice = new ContentInfo({ contentType: info.contentType, content: signed.toSchema(true) });
    await expect(readToken(new Uint8Array(twice.toSchema().toBER()), of, believed)).rejects.toMatchObject({ code: "form" });
  });

  test("cut off, with something behind it, or with any one bit turned is never taken for another", async () => {
    const whole = await readToken(token, of, believed);
    const refused = (bytes: Buffer) => expect(readToken(bytes, of, believed)).rejects.toHaveProperty("code");
    for (const length of [0, 1, 2, 30, token.length - 1]) await refused(token.subarray(0, length));
    await refused(Buffer.concat([token, Buffer.of(0)]));
    for (let bit = 0; bit < 80; bit += 1) {
      const turned = Buffer.from(token);
      const at = Math.floor((bit / 80) * token.length);
      turned.writeUInt8(turned.readUInt8(at) ^ (1 << (bit % 8)), at);
      // Where what is turned lies in no signed part (a certificate that nobody needs), it may still say what it said.
      await readToken(turned, of, believed).then(
        (stamp) => expect(stamp).toEqual(whole),
        (error: { code?: string }) => expect(error.code).toMatch(/^[a-z]+$/),
      );
    }
  });

  test("that was not given is told with the authority's own words", async () => {
    // A hash of an algorithm that this authority does not take: badAlg is bit 0 of PKIFailureInfo (RFC 3161 section 2.4.2).
    const request = fromBER(new Uint8Array(stampRequest(of, nonce))).result as Sequence;
    const bytes = Buffer.from(request.toBER());
    const other = Buffer.from(bytes);
    // SHA-256 ends in 01, SHA-384 in 02; its length does not fit either.
    other.writeUInt8(2, bytes.indexOf(Buffer.from("608648016503040201", "hex")) + 8);
    const answer = await authority.answer(other);
    await expect(readAnswer(answer, { of, nonce }, believed)).rejects.toMatchObject({
      code: "refused",
      message: expect.stringContaining("status 2"),
    });
  });

  test.each([
    ["nothing", Buffer.alloc(0)],
    ["words", Buffer.from("<html>busy</html>")],
    ["noise", randomBytes(2000)],
    ["a list of nothing", Buffer.from(new Sequence({ value: [] }).toBER())],
    ["a set", Buffer.from(new SetBlock({ value: [] }).toBER())],
  ])("is not made of %s", async (_name, bytes) => {
    await expect(readAnswer(bytes, { of, nonce }, believed)).rejects.toMatchObject({ code: "form" });
  });
});

test("a file without a certificate, or that is not there, is no file of authorities", async () => {
  await expect(readAuthorities("package.json")).rejects.toThrow("holds no certificate");
  await expect(readAuthorities("there-is-none.pem")).rejects.toThrow("cannot be read");
});
