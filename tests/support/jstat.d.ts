// What the tests compare with: jstat brings no types.
declare module "jstat" {
  interface Distribution<Parameters extends readonly number[]> {
    cdf(x: number, ...parameters: Parameters): number;
    inv(p: number, ...parameters: Parameters): number;
  }
  const jstat: {
    readonly jStat: {
      readonly studentt: Distribution<[df: number]>;
      readonly chisquare: Distribution<[df: number]>;
      readonly normal: Distribution<[mean: number, sd: number]>;
    };
  };
  export default jstat;
}
