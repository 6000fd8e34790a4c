// What we use of cephes: its own types are not found by an import, only by require. A function throws where it leaves the doubles.
declare module "cephes" {
  interface Cephes {
    readonly compiled: Promise<void>;
    /** the z below which a share p of the normal distribution lies */
    ndtri(p: number): number;
    /** the share of Student's distribution below t */
    stdtr(df: number, t: number): number;
    /** the t below which a share p of Student's distribution lies */
    stdtri(df: number, p: number): number;
    /** the share of the chi-square distribution above x */
    chdtrc(df: number, x: number): number;
    /** the share of the gamma distribution of scale 1 below x */
    igam(shape: number, x: number): number;
    /** the share of the gamma distribution of scale 1 above x */
    igamc(shape: number, x: number): number;
    /** the logarithm of the gamma function */
    lgam(x: number): number;
  }
  const cephes: Cephes;
  export default cephes;
}
