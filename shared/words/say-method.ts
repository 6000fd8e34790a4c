// How a reading is taken, in words: a limit means nothing without it.
import type { Handbook } from "../contracts/machine-model.ts";
import type { Quantity } from "../contracts/quantities.ts";
import { type Language, word, wordByKey } from "./speak.ts";

/** The method behind the limit of this quantity on a machine with this handbook. */
export function sayMethod(quantity: Quantity, { chainSlack, chain }: Handbook, language: Language = "en"): string {
  if (quantity === "chain-slack") {
    const { method, run, wheel } = chainSlack ?? { method: "total-travel", run: "lower", wheel: "loaded" };
    const [what, where, how] = [`method.slack.${method}`, `method.slack.${run}`, `method.slack.${wheel}`].map((key) =>
      wordByKey(key, language),
    );
    return word("method.chain-slack", language, { what: what ?? "", where: where ?? "", how: how ?? "" });
  }
  if (quantity === "chain-length") {
    if (chain === undefined) return word("method.chain-length.not-set", language);
    const { pitches, loadN } = chain;
    const load =
      loadN === undefined ? word("method.chain-length.taut", language) : word("method.chain-length.load", language, { load: loadN });
    return word("method.chain-length", language, { pitches, pins: pitches + 1, load });
  }
  return wordByKey(`method.${quantity.replace(/^(front|rear)-/, "")}`, language);
}
