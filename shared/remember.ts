/**
 * Keeps what was made by its key. Where so many are kept, all are forgotten first: that costs a hit nothing, and what is wanted again is made
 * again.
 */
export function remember<Key, Value>(kept: Map<Key, Value>, key: Key, value: Value, most: number): void {
  if (kept.size >= most) kept.clear();
  kept.set(key, value);
}
