// The browser's own check of a proof, run here without a browser: against published vectors, and against the tree of the service at every size.
import { describe, expect, test } from "vitest";
import { consistencyPath, hashOfLeaves, inclusionPath, type Leaves, leafHash } from "../../src/ledger/merkle.ts";
import { isContinued, rootOfPath, sha256, thumbprint } from "../../src/web/audit/check-proof.ts";
import { wholeFrom } from "../support/whole-from.ts";

// transparency-dev/merkle, testonly/constants.go and the nodes in its tests, commit 417fb0c3.
const root8 = "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328";
const root6 = "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef";
const inclusionOf0In8 = [
  "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
  "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
  "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
];
const consistencyOf6In8 = [
  "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
  "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
  "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
];

const flipped = (hex: string): string => `${hex.startsWith("0") ? "1" : "0"}${hex.slice(1)}`;

describe("the published tree", () => {
  test("inclusion of the first of its eight leaves, and no other root, place or path", async () => {
    // Its first leaf has no data.
    expect(await rootOfPath("", 0, 8, inclusionOf0In8)).toBe(root8);
    expect(await rootOfPath("00", 0, 8, inclusionOf0In8)).not.toBe(root8);
    expect(await rootOfPath("", 1, 8, inclusionOf0In8)).not.toBe(root8);
    expect(await rootOfPath("", 0, 8, inclusionOf0In8.slice(1))).toBeNull();
    expect(await rootOfPath("", 8, 8, inclusionOf0In8)).toBeNull();
  });

  test("consistency of six leaves with eight, and no other", async () => {
    const [six, eight] = [
      { treeSize: 6, rootSha256: root6 },
      { treeSize: 8, rootSha256: root8 },
    ];
    expect(await isContinued(six, eight, consistencyOf6In8)).toBe(true);
    expect(await isContinued({ ...six, rootSha256: flipped(root6) }, eight, consistencyOf6In8)).toBe(false);
    expect(await isContinued(six, { ...eight, rootSha256: flipped(root8) }, consistencyOf6In8)).toBe(false);
    expect(await isContinued(six, eight, consistencyOf6In8.slice(1))).toBe(false);
    expect(await isContinued(eight, six, consistencyOf6In8)).toBe(false);
    expect(await isContinued(six, six, [])).toBe(true);
  });

  test("the thumbprint of the key in RFC 7517, A.1: its required members as RFC 7638 writes them, hashed a second time", async () => {
    const key = {
      kty: "EC",
      crv: "P-256",
      x: "MKBCTNIcKUSDii11ySs3526iDZ8AiTo7Tu6KPAqv7D4",
      y: "4Etl6SRW2YiLUrN5vfvVHuhp7x8PxltmWWlbbM4IFyM",
    } as const;
    const written = `{"crv":"${key.crv}","kty":"${key.kty}","x":"${key.x}","y":"${key.y}"}`;
    const again = Buffer.from(await sha256(written), "hex").toString("base64url");
    expect(await thumbprint(key)).toBe(again);
  });
});

test("every leaf of every tree up to 40, and every earlier tree, as the service proves them; one bit less proves nothing", async () => {
  const data = Array.from({ length: 40 }, (_, index) => index.toString(16).padStart(64, "0"));
  const hashes = data.map((hex) => leafHash(Buffer.from(hex, "hex")));
  const whole = wholeFrom(hashes);
  const rootOf = (part: Leaves): string => hashOfLeaves(part, whole);
  for (let size = 1; size <= data.length; size += 1) {
    const root = rootOf({ from: 0, to: size });
    for (let index = 0; index < size; index += 1) {
      const path = inclusionPath(index, size).map(rootOf);
      expect(await rootOfPath(data[index] ?? "", index, size, path)).toBe(root);
      if (path[0] !== undefined)
        expect(await rootOfPath(data[index] ?? "", index, size, [flipped(path[0]), ...path.slice(1)])).not.toBe(root);
    }
    for (let earlier = 1; earlier < size; earlier += 1) {
      const proof = consistencyPath(earlier, size).map(rootOf);
      const [before, after] = [
        { treeSize: earlier, rootSha256: rootOf({ from: 0, to: earlier }) },
        { treeSize: size, rootSha256: root },
      ];
      expect(await isContinued(before, after, proof), `${earlier} in ${size}`).toBe(true);
      expect(await isContinued(before, after, proof.with(-1, flipped(proof.at(-1) ?? "0")))).toBe(false);
    }
  }
});
