// The check of a proof as the standard gives it: what a reader of our proofs does.
import { nodeHash } from "../../src/ledger/merkle.ts";

/** Whether a proof leads from a leaf's hash to the root (RFC 9162 2.1.3.2). */
export function provesInclusion(leaf: string, index: number, size: number, proof: readonly string[], root: string): boolean {
  if (!(index >= 0 && index < size)) return false;
  let [at, last, hash] = [index, size - 1, leaf];
  for (const step of proof) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      hash = nodeHash(step, hash);
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)];
    } else {
      hash = nodeHash(hash, step);
    }
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && hash === root;
}
