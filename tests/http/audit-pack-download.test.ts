// Fetching a pack over a link that breaks: it goes on where it ended, and never with a part of another file (RFC 9110, 13 and 14).
import { createHash, randomUUID } from "node:crypto";
import { readdir, readlink } from "node:fs/promises";
import { PassThrough } from "node:stream";
import { beforeAll, describe, expect, test } from "vitest";
import { makePack } from "../../src/audit/make-pack.ts";
import { workOff } from "../../src/audit/work-off.ts";
import { expectAnswer } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { wholeBody } from "../support/whole-body.ts";

const { app, as } = testService();
let path: string;
let whole: Buffer;
let etag: string;
let modified: string;
beforeAll(async () => {
  await addTestMachine(app);
  const { id } = await expectAnswer((await as("A001")).post("/v1/audit-packs").send({ month: "2026-07" }), 202);
  await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
  path = `/v1/audit-packs/${id}/download`;
  const answer = await get({});
  whole = answer.body as Buffer;
  etag = answer.headers["etag"] ?? "";
  modified = answer.headers["last-modified"] ?? "";
  expect([answer.status, answer.headers["accept-ranges"], answer.headers["content-length"]]).toEqual([200, "bytes", String(whole.length)]);
});

async function get(headers: Readonly<Record<string, string>>) {
  const call = (await as("A001")).get(path).buffer(true).parse(wholeBody);
  for (const [name, value] of Object.entries(headers)) call.set(name, value);
  return call;
}

test("its entity tag is strong and says the file's SHA-256, as the pack itself does", async () => {
  const pack = await expectAnswer((await as("A001")).get(path.replace("/download", "")), 200);
  expect(etag).toBe(`"${pack.sha256}"`);
  expect(createHash("sha256").update(whole).digest("hex")).toBe(pack.sha256);
});

describe("a part", () => {
  const size = (): number => whole.length;
  test("from anywhere to anywhere is those bytes, and says which they are", async () => {
    for (const [range, from, to] of [
      ["bytes=0-0", 0, 0],
      ["bytes=0-99", 0, 99],
      ["bytes=1000-", 1000, size() - 1],
      [`bytes=${size() - 1}-`, size() - 1, size() - 1],
      ["bytes=-500", size() - 500, size() - 1],
      [`bytes=-${size() + 7}`, 0, size() - 1],
      [`bytes=100-${size() + 100}`, 100, size() - 1],
      ["BYTES=5-6", 5, 6],
    ] as const) {
      const { status, headers, body } = await get({ range });
      expect([range, status, headers["content-range"]]).toEqual([range, 206, `bytes ${from}-${to}/${size()}`]);
      expect([headers["etag"], headers["content-length"]]).toEqual([etag, String(to - from + 1)]);
      expect((body as Buffer).equals(whole.subarray(from, to + 1)), range).toBe(true);
    }
  });

  test("after part, put together, is the file", async () => {
    const parts: Buffer[] = [];
    for (let from = 0; from < size(); from += 20_000) {
      const { status, body } = await get({ range: `bytes=${from}-${from + 19_999}`, "if-range": etag });
      expect(status).toBe(206);
      parts.push(body as Buffer);
    }
    expect(Buffer.concat(parts).equals(whole)).toBe(true);
  });

  test("that begins behind the end is refused and told how long the file is", async () => {
    for (const range of [`bytes=${size()}-`, `bytes=${size() + 5}-${size() + 9}`, "bytes=-0"]) {
      const { status, headers, body } = await get({ range });
      expect([range, status, headers["content-range"]]).toEqual([range, 416, `bytes */${size()}`]);
      expect(JSON.parse((body as Buffer).toString())).toMatchObject({ code: "pack-is-shorter" });
    }
  });

  test("that is none, or several at once, gets the whole file", async () => {
    for (const range of ["bytes=9-3", "bytes=", "bytes=a-b", "lines=1-2", "bytes=0-1,5-6", "bytes=-"]) {
      const { status, headers, body } = await get({ range });
      expect([range, status, headers["content-range"], (body as Buffer).length]).toEqual([range, 200, undefined, size()]);
    }
  });

  test("of another file is never sent: with If-Range of another tag, a weak one or another date comes the whole", async () => {
    const range = "bytes=10-19";
    const asked = async (ifRange: string) => (await get({ range, "if-range": ifRange })).status;
    expect(await asked(etag)).toBe(206);
    expect(await asked(modified)).toBe(206);
    for (const other of [`W/${etag}`, '"another"', "Thu, 01 Jan 2026 00:00:00 GMT", "Thu, 01 Jan 2099 00:00:00 GMT", "nonsense"]) {
      expect([other, await asked(other)]).toEqual([other, 200]);
    }
  });
});

describe("whoever has it already", () => {
  test("is told so, by tag or by date", async () => {
    for (const headers of [
      { "if-none-match": etag },
      { "if-none-match": `"another", W/${etag}` },
      { "if-none-match": "*" },
      { "if-modified-since": modified },
      { "if-none-match": etag, range: "bytes=0-1" },
    ] as Record<string, string>[]) {
      const answer = await get(headers);
      expect([headers, answer.status, answer.headers["etag"], (answer.body as Buffer).length]).toEqual([headers, 304, etag, 0]);
    }
    // A tag outweighs a date.
    expect((await get({ "if-none-match": '"another"', "if-modified-since": modified })).status).toBe(200);
    expect((await get({ "if-modified-since": "Thu, 01 Jan 2026 00:00:00 GMT" })).status).toBe(200);
  });

  test("and insists on that one gets no other", async () => {
    for (const [headers, status] of [
      [{ "if-match": etag }, 200],
      [{ "if-match": "*" }, 200],
      [{ "if-match": '"another"' }, 412],
      [{ "if-match": `W/${etag}` }, 412],
      [{ "if-unmodified-since": "Thu, 01 Jan 2026 00:00:00 GMT" }, 412],
      [{ "if-unmodified-since": modified }, 200],
    ] as const) {
      expect([headers, (await get(headers)).status]).toEqual([headers, status]);
    }
    await expectAnswer((await as("A001")).get(path).set("if-match", '"another"'), 412, "pack-is-another");
  });

  test("asks by HEAD for length and tag, and gets no bytes", async () => {
    const answer = await (await as("A001")).head(path).set("range", "bytes=0-9");
    expect([answer.status, answer.headers["content-length"], answer.headers["etag"]]).toEqual([200, String(whole.length), etag]);
  });
});

test("no file stays open after calls that send none of it", async () => {
  // Where the system tells of open files in that folder.
  const open = async (): Promise<string[]> => {
    const links = await readdir("/proc/self/fd").catch(() => [] as string[]);
    const files = await Promise.all(links.map((fd) => readlink(`/proc/self/fd/${fd}`).catch(() => "")));
    return files.filter((file) => file.startsWith(app.context.config.dataFolder) && file.endsWith(".zip"));
  };
  for (let turn = 0; turn < 5; turn += 1) {
    await get({ "if-none-match": etag });
    await get({ "if-match": '"another"' });
    await get({ range: "bytes=999999999-" });
    await (await as("A001")).head(path);
  }
  expect(await open()).toEqual([]);
});

test("a pack's progress goes on through its second half, and never back", async () => {
  const shares: number[] = [];
  const out = new PassThrough();
  out.resume();
  const about = { id: randomUUID(), month: "2026-07", depotId: null, photos: false, requestedBy: app.cast.staffId("A001") };
  await makePack(app.context, about, out, async (share) => void shares.push(share));
  expect(shares).toEqual([...shares].sort((one, other) => one - other));
  expect(shares.at(-1)).toBeLessThan(1);
  expect(new Set(shares.filter((share) => share > 0.5 && share < 0.8)).size).toBeGreaterThanOrEqual(3);
  expect(new Set(shares.filter((share) => share > 0.8)).size).toBeGreaterThanOrEqual(2);
});
