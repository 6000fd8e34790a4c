import { nodeHash, type Whole } from "../../src/ledger/merkle.ts";

/** Hashes of whole subtrees, computed from the leaves. */
export const wholeFrom = (hashes: readonly string[]) => {
  const hashOf = ({ level, index }: Whole): string =>
    level === 0
      ? (hashes[index] ?? "")
      : nodeHash(hashOf({ level: level - 1, index: 2 * index }), hashOf({ level: level - 1, index: 2 * index + 1 }));
  return hashOf;
};
