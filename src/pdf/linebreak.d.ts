// What is used of `linebreak`, which brings no types: where a line may end, by UAX 14.
declare module "linebreak" {
  export default class LineBreaker {
    constructor(text: string);
    nextBreak(): { readonly position: number; readonly required?: boolean } | null;
  }
}
