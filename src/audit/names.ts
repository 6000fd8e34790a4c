// The list in a pack that says what its ids stand for: everything that has a name, of which only what the records mention is listed.
import { canonical } from "../platform/index.ts";
import type { NameRow } from "./pack-store.ts";

export class Names {
  readonly #known: ReadonlyMap<string, NameRow>;
  readonly #seen = new Set<string>();

  /** The rows in the order in which they are listed. */
  constructor(rows: readonly NameRow[]) {
    this.#known = new Map(rows.map((row) => [row.id, row]));
  }

  /** What an id was called: a person by staff number; any other text stays as it is. */
  readonly called = (id: string): string => {
    const row = this.#known.get(id);
    return row === undefined ? id : (row.number ?? row.called);
  };

  of(id: string | null): NameRow | undefined {
    return id === null ? undefined : this.#known.get(id);
  }

  /** Notes every known id in a value, at any depth. */
  see(value: unknown): void {
    if (typeof value === "string") {
      if (this.#known.has(value)) this.#seen.add(value);
    } else if (Array.isArray(value)) {
      for (const one of value) this.see(one);
    } else if (value !== null && typeof value === "object") {
      for (const one of Object.values(value)) this.see(one);
    }
  }

  /** A line for each id that was seen. */
  *lines(): Generator<string> {
    for (const { id, is, called, number, forgotten } of this.#known.values()) {
      if (!this.#seen.has(id)) continue;
      const person = is === "person" ? { number, forgotten } : {};
      yield `${canonical({ id, is, called, ...person })}\n`;
    }
  }
}
