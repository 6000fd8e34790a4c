// The Merkle tree of RFC 6962, section 2.1: pure. Hashes are hex. A tree over n leaves splits at the largest power of two below n, so
// that every whole subtree (2^level leaves, beginning at a multiple of 2^level) keeps its hash for ever once it is full.
import { sha256 } from "./hash.ts";

/** The leaves from `from` up to, but not including, `to`. */
export interface Leaves {
  readonly from: number;
  readonly to: number;
}

/** A whole subtree: leaves index * 2^level up to (index + 1) * 2^level. Level 0 is a leaf. */
export interface Whole {
  readonly level: number;
  readonly index: number;
}

/** Gives the hash of a whole subtree. */
export type HashOf = (whole: Whole) => string;

/** The root of a tree without leaves: SHA-256 of nothing. */
export const emptyRoot = sha256("");

/** The hash of a leaf: SHA-256(0x00 || data). */
export const leafHash = (data: Uint8Array): string => sha256(Buffer.concat([Buffer.of(0), data]));

/** The hash of a node: SHA-256(0x01 || left || right). */
export const nodeHash = (left: string, right: string): string => sha256(Buffer.from(`01${left}${right}`, "hex"));

/** The largest power of two below `size`, for a size above 1. */
export function splitAt(size: number): number {
  let half = 1;
  while (half * 2 < size) half *= 2;
  return half;
}

/** The whole subtrees that a range consists of, left to right: largest first, as in a tree that begins at `from`. */
export function wholesOf({ from, to }: Leaves): Whole[] {
  const wholes: Whole[] = [];
  for (let at = from; at < to; ) {
    let level = 0;
    let leaves = 1;
    while (at % (leaves * 2) === 0 && at + leaves * 2 <= to) {
      level += 1;
      leaves *= 2;
    }
    wholes.push({ level, index: at / leaves });
    at += leaves;
  }
  return wholes;
}

/** The hash of a subtree: its whole parts joined from the right. */
export function hashOfLeaves(leaves: Leaves, hashOf: HashOf): string {
  const parts = wholesOf(leaves).map(hashOf);
  return parts.length === 0 ? emptyRoot : parts.reduceRight((right, left) => nodeHash(left, right));
}

/** PATH(m, D[n]) of RFC 6962 2.1.1, as the subtrees whose hashes it consists of, from the leaf upwards. */
export function inclusionPath(index: number, size: number): Leaves[] {
  if (!(index >= 0 && index < size)) throw new RangeError(`a tree of ${size} leaves has no leaf ${index}`);
  const path: Leaves[] = [];
  let [from, to] = [0, size];
  while (to - from > 1) {
    const middle = from + splitAt(to - from);
    if (index < middle) {
      path.push({ from: middle, to });
      to = middle;
    } else {
      path.push({ from, to: middle });
      from = middle;
    }
  }
  return path.reverse();
}

/** PROOF(m, D[n]) of RFC 6962 2.1.2, as the subtrees whose hashes it consists of. Empty for an old tree that is empty or the same. */
export function consistencyPath(oldSize: number, size: number): Leaves[] {
  if (!(oldSize >= 0 && oldSize <= size)) throw new RangeError(`a tree of ${size} leaves does not continue one of ${oldSize}`);
  if (oldSize === 0 || oldSize === size) return [];
  const path: Leaves[] = [];
  let [from, to] = [0, size];
  // The old tree's own root is known to whoever checks, unless the old tree ends inside a subtree.
  while (to !== oldSize) {
    const middle = from + splitAt(to - from);
    if (oldSize <= middle) {
      path.push({ from: middle, to });
      to = middle;
    } else {
      path.push({ from, to: middle });
      from = middle;
    }
  }
  if (from !== 0) path.push({ from, to });
  return path.reverse();
}

/**
 * A tree of `size` leaves from left to right: `own` leaves (ascending) one by one, and the largest whole subtrees that hold none of
 * them. With the hashes of both the root follows, so that one list proves all own leaves at once.
 */
export function* partsAround(own: readonly number[], size: number): Generator<Whole & { readonly own: boolean }> {
  yield* within({ from: 0, to: size }, 0, own.length);

  function* within({ from, to }: Leaves, first: number, end: number): Generator<Whole & { readonly own: boolean }> {
    if (first === end) {
      for (const whole of wholesOf({ from, to })) yield { ...whole, own: false };
    } else if (to - from === 1) {
      yield { level: 0, index: from, own: true };
    } else {
      const middle = from + splitAt(to - from);
      const cut = firstNotBelow(own, middle, first, end);
      yield* within({ from, to: middle }, first, cut);
      yield* within({ from: middle, to }, cut, end);
    }
  }
}

/** The first place in [first, end) of an ascending list that holds `least` or more; `end` where none does. */
function firstNotBelow(list: readonly number[], least: number, first: number, end: number): number {
  let [low, high] = [first, end];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((list[middle] ?? 0) < least) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Whether a proof shows that the tree of `size` begins with the tree of `oldSize` (RFC 9162 2.1.4.2). */
export function provesConsistency(oldSize: number, oldRoot: string, size: number, root: string, proof: readonly string[]): boolean {
  if (oldSize > size || oldSize < 0) return false;
  if (oldSize === 0) return proof.length === 0 && oldRoot === emptyRoot;
  if (oldSize === size) return proof.length === 0 && oldRoot === root;
  const isPower = Number.isInteger(Math.log2(oldSize));
  const [first, ...rest] = isPower ? [oldRoot, ...proof] : proof;
  if (first === undefined) return false;
  let [at, last] = [oldSize - 1, size - 1];
  while (at % 2 === 1) [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  let [oldHash, hash] = [first, first];
  for (const step of rest) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      oldHash = nodeHash(step, oldHash);
      hash = nodeHash(step, hash);
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)];
    } else {
      hash = nodeHash(hash, step);
    }
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && oldHash === oldRoot && hash === root;
}

/** A growing tree that keeps only its right edge: the whole subtrees that its leaves consist of so far. */
export class GrowingTree {
  #size: number;
  readonly #edge: string[];

  /** Goes on from a tree of `size` leaves whose parts are `edge`, as wholesOf lists them. */
  constructor(size = 0, edge: readonly string[] = []) {
    this.#size = size;
    this.#edge = [...edge];
  }

  get size(): number {
    return this.#size;
  }

  get root(): string {
    return this.#edge.length === 0 ? emptyRoot : this.#edge.reduceRight((right, left) => nodeHash(left, right));
  }

  /** Adds a leaf, or a whole subtree of `level`; calls `whole` for each subtree that is completed by it. Throws if it does not fit there. */
  add(added: string, whole: (node: Whole, hash: string) => void = () => undefined, level = 0): void {
    const leaves = 2 ** level;
    if (this.#size % leaves !== 0) throw new RangeError(`a subtree of ${leaves} leaves does not begin at ${this.#size}`);
    let hash = added;
    let index = this.#size / leaves;
    for (let above = level + 1; index % 2 === 1; above += 1) {
      const left = this.#edge.pop();
      if (left === undefined) throw new Error("the edge does not fit the size");
      hash = nodeHash(left, hash);
      index = (index - 1) / 2;
      whole({ level: above, index }, hash);
    }
    this.#edge.push(hash);
    this.#size += leaves;
  }
}
