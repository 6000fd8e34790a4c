// Published samples with known answers, for the rules and for the calls that answer with them.

const numbers = (text: string): number[] => text.trim().split(/\s+/).map(Number);

/** NIST StRD, linear least squares, Norris: 36 pairs of y and x, here as [x, y]. */
export const norris: [number, number][] = `
  0.1 0.2; 338.8 337.4; 118.1 118.2; 888.0 884.6; 9.2 10.1; 228.1 226.5; 668.5 666.3; 998.5 996.3; 449.1 448.6;
  778.9 777.0; 559.2 558.2; 0.3 0.4; 0.1 0.6; 778.1 775.5; 668.8 666.9; 339.3 338.0; 448.9 447.5; 10.8 11.6; 557.7 556.0;
  228.3 228.1; 998.0 995.8; 888.8 887.6; 119.6 120.2; 0.3 0.3; 0.6 0.3; 557.6 556.8; 339.3 339.1; 888.0 887.2; 998.5 999.0;
  778.9 779.0; 10.2 11.1; 117.6 118.3; 228.9 229.2; 668.4 669.1; 449.2 448.9; 0.2 0.5`
  .split(";")
  .map(numbers)
  .map(([y = Number.NaN, x = Number.NaN]) => [x, y]);

/** NIST's certified values for it. */
export const norrisCertified = {
  slope: 1.00211681802045,
  intercept: -0.262323073774029,
  slopeSe: 0.429796848199937e-3,
  interceptSe: 0.232818234301152,
  residualSd: 0.884796396144373,
  rSquared: 0.999993745883712,
} as const;

/** NIST/SEMATECH e-Handbook 6.3.3.2: shares of defective chips on 30 wafers of 50. */
export const waferShares = numbers(`
  0.24 0.30 0.16 0.20 0.08 0.14 0.32 0.18 0.28 0.20 0.10 0.12 0.34 0.24 0.44
  0.16 0.20 0.10 0.26 0.22 0.40 0.36 0.48 0.30 0.18 0.24 0.14 0.26 0.18 0.12`);

/** NIST/SEMATECH e-Handbook 6.3.3.1: defects on 25 wafers of 100 chips. */
export const waferDefects = numbers("16 14 28 16 12 20 10 12 10 17 19 17 14 16 15 13 14 16 11 20 11 19 16 31 13");

/** Freireich 1963, 6-MP: weeks of remission; + is censored. The censored come first in a tie here, so that the order proves nothing. */
export const remissionWeeks: { at: number; event: boolean }[] = "6+ 6 6 6 7 9+ 10+ 10 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
  .split(" ")
  .map((week) => ({ at: Number.parseInt(week, 10), event: !week.endsWith("+") }));

/** What textbooks print for it (from memory), and what was computed anew: week, at risk, events, survival, Greenwood's error. */
export const remissionSteps = [
  [6, 21, 3, 0.8571, 0.0764],
  [7, 17, 1, 0.8067, 0.0869],
  [10, 15, 1, 0.7529, 0.0963],
  [13, 12, 1, 0.6902, 0.1068],
  [16, 11, 1, 0.6275, 0.1141],
  [22, 7, 1, 0.5378, 0.1282],
  [23, 6, 1, 0.4482, 0.1346],
] as const;
