// The Merkle tree against published vectors and against the definition in RFC 6962 written out a second time.
import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  consistencyPath,
  GrowingTree,
  hashOfLeaves,
  inclusionPath,
  type Leaves,
  leafHash,
  partsAround,
  provesConsistency,
  wholesOf,
} from "../../src/ledger/merkle.ts";
import { provesInclusion } from "../support/inclusion.ts";
import { wholeFrom } from "../support/whole-from.ts";

// Leaves, roots and proofs: transparency-dev/merkle, testonly/constants.go and the nodes in its tests, commit 417fb0c3.
const leaves = ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"];
const roots = [
  "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
  "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
  "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
  "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
  "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
  "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
  "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
  "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
  "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
];
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

const hashesOf = (data: readonly string[]): string[] => data.map((hex) => leafHash(Buffer.from(hex, "hex")));

/** MTH of RFC 6962 2.1, as it is defined: recursive, over bytes. */
function rootByDefinition(data: readonly Buffer[]): Buffer {
  const sha = (...parts: Buffer[]) => createHash("sha256").update(Buffer.concat(parts)).digest();
  if (data.length === 0) return sha();
  const [only] = data;
  if (data.length === 1 && only) return sha(Buffer.of(0), only);
  let split = 1;
  while (split < data.length / 2) split *= 2;
  return sha(Buffer.of(1), rootByDefinition(data.slice(0, split)), rootByDefinition(data.slice(split)));
}

const grown = (hashes: readonly string[]): GrowingTree => {
  const tree = new GrowingTree();
  for (const hash of hashes) tree.add(hash);
  return tree;
};
const proof = (path: readonly Leaves[], hashes: readonly string[]) => path.map((part) => hashOfLeaves(part, wholeFrom(hashes)));

describe("published vectors", () => {
  test("the roots of trees with none to eight leaves", () => {
    expect(roots.map((_, size) => grown(hashesOf(leaves.slice(0, size))).root)).toEqual(roots);
    expect(roots.map((_, size) => hashOfLeaves({ from: 0, to: size }, wholeFrom(hashesOf(leaves))))).toEqual(roots);
  });

  test("the inclusion of leaf 0 in 8 and the consistency of 6 with 8", () => {
    const hashes = hashesOf(leaves);
    expect(proof(inclusionPath(0, 8), hashes)).toEqual(inclusionOf0In8);
    expect(provesInclusion(hashes[0] ?? "", 0, 8, inclusionOf0In8, roots[8] ?? "")).toBe(true);
    expect(proof(consistencyPath(6, 8), hashes)).toEqual(consistencyOf6In8);
    expect(provesConsistency(6, roots[6] ?? "", 8, roots[8] ?? "", consistencyOf6In8)).toBe(true);
    expect(consistencyPath(1, 1)).toEqual([]);
  });
});

const someLeaves = fc.array(fc.uint8Array({ maxLength: 20 }), { minLength: 1, maxLength: 70 });

describe("any tree", () => {
  test("has the root of the definition, however it grew, and tells each whole subtree once", () => {
    fc.assert(
      fc.property(someLeaves, fc.nat(), (data, cut) => {
        const hashes = data.map(leafHash);
        const hashOf = wholeFrom(hashes);
        const half = cut % (hashes.length + 1);
        const tree = new GrowingTree(half, wholesOf({ from: 0, to: half }).map(hashOf));
        const told = new Set<string>();
        for (const hash of hashes.slice(half)) {
          tree.add(hash, (node, value) => {
            const name = `${node.level}/${node.index}`;
            expect(told.has(name)).toBe(false);
            told.add(name);
            expect(value).toBe(hashOf(node));
          });
        }
        expect(tree.root).toBe(rootByDefinition(data.map((bytes) => Buffer.from(bytes))).toString("hex"));
      }),
    );
  });

  test("proves each of its leaves, and no leaf by a proof that was changed, cut, lengthened or made for another place", () => {
    fc.assert(
      fc.property(someLeaves, fc.nat(), fc.nat(), (data, which, bit) => {
        const hashes = data.map(leafHash);
        const [size, index] = [hashes.length, which % hashes.length];
        const root = grown(hashes).root;
        const steps = proof(inclusionPath(index, size), hashes);
        const holds = (at: number, of: number, by: readonly string[], leaf = hashes[index] ?? "") =>
          provesInclusion(leaf, at, of, by, root);
        expect(holds(index, size, steps)).toBe(true);
        expect(holds(index, size, [...steps, root])).toBe(false);
        if (steps.length > 0) expect(holds(index, size, steps.slice(1))).toBe(false);
        expect(holds(size, size, steps)).toBe(false);
        expect(holds(-1, size, steps)).toBe(false);
        expect(holds(index, size, steps, flipped(hashes[index] ?? "", bit))).toBe(false);
        steps.forEach((step, at) => {
          expect(holds(index, size, steps.with(at, flipped(step, bit)))).toBe(false);
        });
      }),
    );
  });

  test("proves each tree that it grew from, and none by a proof or a root that was changed", () => {
    fc.assert(
      fc.property(someLeaves, fc.nat(), fc.nat(), (data, which, bit) => {
        const hashes = data.map(leafHash);
        const [size, oldSize] = [hashes.length, which % (hashes.length + 1)];
        const [root, oldRoot] = [grown(hashes).root, grown(hashes.slice(0, oldSize)).root];
        const steps = proof(consistencyPath(oldSize, size), hashes);
        expect(provesConsistency(oldSize, oldRoot, size, root, steps)).toBe(true);
        expect(provesConsistency(oldSize, oldRoot, size, root, [...steps, root])).toBe(false);
        expect(provesConsistency(oldSize, flipped(oldRoot, bit), size, root, steps)).toBe(false);
        if (oldSize > 0) expect(provesConsistency(oldSize, oldRoot, size, flipped(root, bit), steps)).toBe(false);
        expect(provesConsistency(size + 1, oldRoot, size, root, steps)).toBe(false);
        steps.forEach((step, at) => {
          expect(provesConsistency(oldSize, oldRoot, size, root, steps.with(at, flipped(step, bit)))).toBe(false);
        });
      }),
    );
  });
});

test("any choice of leaves with the subtrees around them gives the root, names each own leaf once and no subtree that holds one", () => {
  fc.assert(
    fc.property(someLeaves, fc.array(fc.nat(), { maxLength: 40 }), (data, picks) => {
      const hashes = data.map(leafHash);
      const own = [...new Set(picks.map((pick) => pick % hashes.length))].sort((a, b) => a - b);
      const parts = [...partsAround(own, hashes.length)];
      expect(parts.filter((part) => part.own).map(({ index }) => index)).toEqual(own);
      const tree = new GrowingTree();
      for (const { level, index, own: isOwn } of parts) {
        expect(index * 2 ** level).toBe(tree.size);
        const held = own.filter((leaf) => leaf >= index * 2 ** level && leaf < (index + 1) * 2 ** level);
        expect(held.length).toBe(isOwn ? 1 : 0);
        tree.add(wholeFrom(hashes)({ level, index }), undefined, level);
      }
      expect([tree.size, tree.root]).toEqual([hashes.length, grown(hashes).root]);
      // As few as there can be: two neighbours that are halves of one subtree would have been given as that.
      const others = parts.filter((part) => !part.own);
      const halves = others.filter(({ level, index }) => index % 2 === 0 && others.some((o) => o.level === level && o.index === index + 1));
      expect(halves).toEqual([]);
    }),
  );
  expect(() => grown(hashesOf(leaves.slice(0, 3))).add("00", undefined, 1)).toThrow(RangeError);
});

/** Hex with one bit turned. */
function flipped(hex: string, bit: number): string {
  const bytes = Buffer.from(hex, "hex");
  const at = bit % (bytes.length * 8);
  bytes[at >> 3] = (bytes[at >> 3] ?? 0) ^ (1 << (at & 7));
  return bytes.toString("hex");
}
