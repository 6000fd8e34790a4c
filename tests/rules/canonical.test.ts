// The canonical form of JSON and what an entry's hash covers, against published vectors and against a second computation.
import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { entriesAfter } from "../../src/ledger/entry.ts";
import { dataHash, entryHash, envelopeText } from "../../src/ledger/hash.ts";
import { canonical } from "../../src/platform/index.ts";

describe("RFC 8785", () => {
  // cyberphone/json-canonicalization, testdata/input and testdata/output (the vectors of RFC 8785).
  test.each([
    ["arrays", '[56,{"d":true,"10":null,"1":[]}]', '[56,{"1":[],"10":null,"d":true}]'],
    [
      "structures",
      '{"1":{"f":{"f":"hi","F":5},"\\n":56},"10":{},"":"empty","a":{},"111":[{"e":"yes","E":"no"}],"A":{}}',
      '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}',
    ],
    ["numbers", "[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001]", "[333333333.3333333,1e+30,4.5,0.002,1e-27]"],
    ["no normalisation", '{"Unnormalized Unicode":"A\\u030a"}', '{"Unnormalized Unicode":"A\u030a"}'],
    ["keys by UTF-16 code unit", '{"\ufb33":1,"\ud83d\ude00":2}', '{"\ud83d\ude00":2,"\ufb33":1}'],
  ])("%s", (_what, input, output) => {
    expect(canonical(JSON.parse(input))).toBe(output);
  });

  // RFC 8785 appendix B: IEEE 754 bits and their text.
  test.each([
    ["4340000000000001", "9007199254740994"],
    ["444b1ae4d6e2ef50", "1e+21"],
    ["3eb0c6f7a0b5ed8d", "0.000001"],
    ["3eb0c6f7a0b5ed8c", "9.999999999999997e-7"],
    ["8000000000000000", "0"],
  ])("the number of bits %s is %s", (bits, text) => {
    expect(canonical(Buffer.from(bits, "hex").readDoubleBE())).toBe(text);
  });

  test("what JSON cannot hold is refused", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, "\ud800", undefined]) expect(() => canonical(value)).toThrow();
  });
});

/** Canonical JSON a second time, in a few lines, for plain values. */
const plain = (value: unknown): string =>
  Array.isArray(value)
    ? `[${value.map(plain).join(",")}]`
    : value !== null && typeof value === "object"
      ? `{${Object.entries(value)
          .sort(([a], [b]) => (a < b ? -1 : 1))
          .map(([key, held]) => `${JSON.stringify(key)}:${plain(held)}`)
          .join(",")}}`
      : JSON.stringify(value);
const sha = (text: string) => createHash("sha256").update(text).digest("hex");

describe("an entry", () => {
  const at = new Date("2026-07-13T04:30:00.000Z");
  const signature = { chainId: "c", machineId: "c", depotId: null, staffId: "s", recordedAt: at };
  const acts = [
    { id: "1", kind: "machines-imported", performedAt: at, data: { machineIds: ["é"], imported: 1000 } },
    { id: "2", kind: "machine-withdrawn", performedAt: at, data: { reason: "" } },
  ] as const;

  test("covers who, when, what kind, the hash of what it says and the entry before it, and nothing else", () => {
    const salts = ["00", "01"];
    const entries = entriesAfter({ length: 0, sha256: null }, signature, acts, () => salts.shift() ?? "");
    const first = {
      chainId: "c",
      dataSha256: sha('{"data":{"imported":1000,"machineIds":["é"]},"salt":"00"}'),
      depotId: null,
      id: "1",
      kind: "machines-imported",
      machineId: "c",
      performedAt: "2026-07-13T04:30:00.000Z",
      position: 1,
      previousSha256: null,
      recordedAt: "2026-07-13T04:30:00.000Z",
      staffId: "s",
      version: 1,
    };
    expect(entries[0]?.sha256).toBe(sha(JSON.stringify(first)));
    const second = { ...first, dataSha256: sha('{"data":{"reason":""},"salt":"01"}'), id: "2", kind: "machine-withdrawn", position: 2 };
    expect(entries[1]?.sha256).toBe(sha(JSON.stringify({ ...second, previousSha256: entries[0]?.sha256 })));
  });

  test("has another hash as soon as any member differs, the salt and the entry before it included", () => {
    const [entry] = entriesAfter({ length: 4, sha256: "aa" }, signature, acts, () => "00");
    if (!entry) throw new Error("there is one");
    const changes = [
      ...[{ id: "9" }, { chainId: "d" }, { position: 6 }, { kind: "paper-added" }, { version: 2 }, { machineId: null }, { depotId: "d" }],
      ...[{ staffId: null }, { performedAt: new Date(at.getTime() + 1) }, { recordedAt: new Date(at.getTime() - 1) }],
      { dataSha256: dataHash(entry.data, "01") },
    ];
    const hashes = changes.map((change) => entryHash({ ...entry, ...change }, "aa"));
    expect(new Set([entry.sha256, entryHash(entry, "ab"), entryHash(entry, null), ...hashes]).size).toBe(changes.length + 3);
  });

  test("whatever it says has one hash, before and after it went through the database's JSON", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (data) => {
        const stored = JSON.parse(JSON.stringify(data));
        expect(dataHash(stored, "00")).toBe(dataHash(data, "00"));
        expect(dataHash(stored, "00")).toBe(sha(plain({ data: stored, salt: "00" })));
      }),
    );
  });

  test("an act without a record, and a chain whose length and last hash disagree, are refused", () => {
    expect(() => entriesAfter({ length: 0, sha256: null }, signature, [], () => "00")).toThrow();
    expect(() => entriesAfter({ length: 3, sha256: null }, signature, acts, () => "00")).toThrow();
    expect(() => entriesAfter({ length: 0, sha256: "aa" }, signature, acts, () => "00")).toThrow();
    expect(envelopeText(entriesAfter({ length: 0, sha256: null }, signature, acts, () => "00")[0] as never, null)).not.toContain(
      "machineIds",
    );
  });
});
