// Whether all of a month's records are shown: a stretch of a chain may be left out only where what stands on both sides of it lies
// clearly before the month, or clearly after it. Pure; those who make a pack and those who check it ask the same.

/** Clocks of two processes differ by less than this (common practice, no source): an entry that is nearer than this to the month is shown. */
export const marginMs = 3_600_000;

export interface SpanOfDepot {
  /** null: the span of what belongs to no depot */
  readonly depotId: string | null;
  readonly starts: Date;
  /** the first instant after it */
  readonly ends: Date;
}

/** -1: clearly before the month of every depot; 0: in or near it; 1: clearly after it. */
type Side = -1 | 0 | 1;

interface Shown {
  readonly position: number;
  readonly side: Side;
}

/** Positions of a chain that are neither shown nor explained, from the first to the last. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

export class Coverage {
  /** what arrived before it is clearly before the month */
  readonly from: Date;
  /** what arrived at it or later is clearly after the month */
  readonly to: Date;
  readonly #spans: ReadonlyMap<string | null, SpanOfDepot>;
  readonly #chains = new Map<string, Shown[]>();

  constructor(spans: readonly SpanOfDepot[]) {
    this.#spans = new Map(spans.map((span) => [span.depotId, span]));
    this.from = new Date(Math.min(...spans.map(({ starts }) => starts.getTime())) - marginMs);
    this.to = new Date(Math.max(...spans.map(({ ends }) => ends.getTime())) + marginMs);
  }

  /** Whether a record belongs to the month; null where its depot is not among those of the month. */
  isInMonth(depotId: string | null, recordedAt: Date): boolean | null {
    const span = this.#spans.get(depotId);
    return span ? recordedAt >= span.starts && recordedAt < span.ends : null;
  }

  /** Notes an entry that is shown. The entries of a chain may come in any order. */
  take(chainId: string, position: number, recordedAt: Date): void {
    const side = recordedAt < this.from ? -1 : recordedAt >= this.to ? 1 : 0;
    const chain = this.#chains.get(chainId);
    if (chain) chain.push({ position, side });
    else this.#chains.set(chainId, [{ position, side }]);
  }

  /** The first stretch of a chain of this length that should be shown and is not; null if there is none. */
  missingIn(chainId: string, length: number): Stretch | null {
    const shown = [...(this.#chains.get(chainId) ?? [])].sort((one, other) => one.position - other.position);
    // Nothing comes before the first entry, so entries left out at the beginning lie before the month if the first one shown does.
    let before: Shown = { position: 0, side: -1 };
    for (const one of shown) {
      const isNext = one.position <= before.position + 1;
      if (!isNext && (one.side === 0 || one.side !== before.side)) return { from: before.position + 1, to: one.position - 1 };
      before = one;
    }
    return before.position >= length ? null : { from: before.position + 1, to: length };
  }
}
