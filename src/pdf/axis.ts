// Round numbers for the ticks of a scale.

/** About four ticks from 0, in steps of 1, 2 or 5 times a power of ten, the last at `most` or beyond; 0 and 1 if `most` is 0. */
export function roundPlaces(most: number): number[] {
  if (!(most > 0)) return [0, 1];
  const rough = most / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((size) => size * power >= rough - rough * 1e-9) ?? 10);
  const count = Math.ceil(most / step - 1e-9);
  return Array.from({ length: count + 1 }, (_, index) => Number((index * step).toPrecision(12)));
}
