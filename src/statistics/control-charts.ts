// Control charts: which samples lie farther from the common level than chance explains. NIST/SEMATECH e-Handbook 6.3.3.

/** Shewhart's three standard deviations. */
const SIGMAS = 3;
/** A tolerance smaller than one count can make: rounding never puts a sample that is on the limit outside. */
const ON_THE_LIMIT = 1e-12;

export interface ChartSample {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  /** strictly beyond a limit */
  readonly outside: boolean;
}

export interface Chart {
  /** the level of all samples together */
  readonly centre: number;
  readonly samples: readonly ChartSample[];
}

function chartOf(centre: number, samples: readonly { readonly value: number; readonly sigma: number }[], most: number): Chart {
  return {
    centre,
    samples: samples.map(({ value, sigma }) => {
      const low = Math.max(0, centre - SIGMAS * sigma);
      const high = Math.min(most, centre + SIGMAS * sigma);
      const slack = ON_THE_LIMIT * high;
      return { value, low, high, outside: value < low - slack || value > high + slack };
    }),
  };
}

const total = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);

/** Shares of `count` in `of`, limits for each sample's own size. Throws a RangeError for no sample or a sample of none. */
export function pChart(samples: readonly { readonly count: number; readonly of: number }[]): Chart {
  mustHave(samples.map(({ of }) => of));
  const centre = total(samples.map(({ count }) => count)) / total(samples.map(({ of }) => of));
  return chartOf(
    centre,
    samples.map(({ count, of }) => ({ value: count / of, sigma: Math.sqrt((centre * (1 - centre)) / of) })),
    1,
  );
}

/** Counts per unit of exposure, limits for each sample's own exposure. Throws a RangeError for no sample or one without exposure. */
export function uChart(samples: readonly { readonly count: number; readonly exposure: number }[]): Chart {
  mustHave(samples.map(({ exposure }) => exposure));
  const centre = total(samples.map(({ count }) => count)) / total(samples.map(({ exposure }) => exposure));
  return chartOf(
    centre,
    samples.map(({ count, exposure }) => ({ value: count / exposure, sigma: Math.sqrt(centre / exposure) })),
    Number.POSITIVE_INFINITY,
  );
}

function mustHave(sizes: readonly number[]): void {
  if (sizes.length === 0 || !sizes.every((size) => size > 0)) throw new RangeError("a chart wants samples, each larger than none");
}
