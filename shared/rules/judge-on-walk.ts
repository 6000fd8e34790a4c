// The measured items that a rider reads on the walk round, and what comes of a verdict. A file of its own, since a phone needs it but not
// the rules that only the bench uses.
import type { Category } from "../contracts/common.ts";
import type { Handbook } from "../contracts/machine-model.ts";
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { judgeChainSlack } from "./chain.ts";
import { judgeCharge } from "./engine.ts";
import { judgeTyrePressure, type Load } from "./tyre.ts";
import type { ReadingVerdict, ValueVerdict } from "./verdict.ts";

const readOnWalk = ["charge", "front-tyre-pressure", "rear-tyre-pressure", "chain-slack"] as const satisfies readonly Quantity[];
export type ReadOnWalk = (typeof readOnWalk)[number];
export const isReadOnWalk = (quantity: Quantity): quantity is ReadOnWalk => (readOnWalk as readonly Quantity[]).includes(quantity);

/** The verdict on one value; `unit` has to be one that the quantity's gauge shows. */
export function judgeOnWalk(
  quantity: ReadOnWalk,
  value: number,
  unit: Unit,
  { handbook, load = "solo" }: { readonly handbook: Handbook; readonly load?: Load | undefined },
): ValueVerdict {
  if (quantity === "charge") return judgeCharge(value);
  if (quantity === "chain-slack") return judgeChainSlack(value, handbook.chainSlack);
  const end = quantity === "front-tyre-pressure" ? "front" : "rear";
  return judgeTyrePressure(value, unit, handbook.tyrePressure?.[end], load);
}

/** What the value as found and the last value come to together. */
export function resultOf(quantity: Quantity, asFound: ValueVerdict, last: ValueVerdict): Pick<ReadingVerdict, "result" | "category"> {
  if (last.outcome === "not-set") return { result: "not-set", category: null };
  if (last.outcome === "within") {
    const wasOutside = asFound.outcome !== "within" && asFound.outcome !== "not-set";
    return { result: wasOutside ? "corrected" : "within", category: null };
  }
  const mayLeak = quantity === "front-tyre-pressure" || quantity === "rear-tyre-pressure";
  const category: Category | null = mayLeak && asFound.category === "major" ? "major" : last.category;
  return { result: "defect", category };
}
