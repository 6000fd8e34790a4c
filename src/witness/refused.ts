// Why a witness gave no valid time-stamp, in words for the log and for whoever checks a pack.
import { type WordKey, type WordParams, word } from "../../shared/words/index.ts";

type Why = WordKey extends infer Key ? (Key extends `witness.why.${infer Code}` ? Code : never) : never;

/** What the witness answered is no time-stamp of what it was asked for, or it did not answer. */
export class NotWitnessed extends Error {
  readonly code: Why;

  constructor(code: Why, params: WordParams = {}) {
    super(word(`witness.why.${code}`, "en", params));
    this.name = "NotWitnessed";
    this.code = code;
  }
}
