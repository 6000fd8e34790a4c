// What to do after an inspection, item by item in the order of the walk, with figures. Facts only; the sentences are words.
import { itemsFor } from "../catalogue/sheet.ts";
import type { Competence } from "../contracts/common.ts";
import type { Features, Handbook } from "../contracts/machine-model.ts";
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { adjusterUse, type ChainAdjustment, chainAdjustment } from "./chain.ts";
import type { DueAtItem } from "./engine.ts";
import type { OpenDefect } from "./machine-state.ts";
import type { DecidingLimit, ItemVerdict, ValueVerdict } from "./verdict.ts";

export interface AboutReading {
  readonly itemId: string;
  readonly quantity: Quantity;
  /** as left where work was done, else as found; for a leak always as found */
  readonly value: number;
  readonly unit: Unit;
  readonly limit: DecidingLimit;
  /**
   * What was compared where it is not the reading itself, and the legal limit that it still keeps; records from before 2026-11-29 have
   * neither.
   */
  readonly compared?: ValueVerdict["compared"];
  readonly stillKept?: DecidingLimit | undefined;
}

export type Guidance =
  | (AboutReading & { readonly code: "adjust" | "renew-soon" | "fails" | "leak" })
  | { readonly code: "chain"; readonly itemId: string; readonly chain: ChainAdjustment }
  /** the handbook's way of measuring does not give the sag: measure the total travel */
  | { readonly code: "chain-total-travel"; readonly itemId: string }
  /** the chain is worn out: adjusting takes up what a new chain should */
  | { readonly code: "chain-worn"; readonly itemId: string; readonly elongationPercent: number; readonly limitPercent: number }
  /** the adjusters come to their end before the slack is right */
  | { readonly code: "chain-adjuster-end"; readonly itemId: string; readonly usedMm: number; readonly rangeMm: number }
  | { readonly code: "new-part"; readonly itemId: string }
  | { readonly code: "expert"; readonly itemId: string; readonly competence: Competence }
  | { readonly code: "second-person"; readonly itemId: string }
  /** what was loosened for the chain, or to take a wheel out, has to be tightened, and nobody entered that it was */
  | { readonly code: "tighten"; readonly itemId: string }
  /** a service: brake fluid, valve clearance, belt, coolant */
  | ({ readonly code: "oil-due" | "service-due" } & DueAtItem);

export interface Inspected {
  readonly features: Features;
  readonly handbook: Handbook;
  readonly verdicts: readonly ItemVerdict[];
  /** the defects that came of it, or were seen again */
  readonly raised: readonly Pick<OpenDefect, "itemId" | "onlyNewPart" | "competence" | "secondPerson">[];
  readonly oil: DueAtItem | null;
  readonly services: readonly DueAtItem[];
  readonly toFinish: readonly string[];
  /** those of whoever inspected */
  readonly competences: readonly Competence[];
}

/** Guidance for every item that was not left as it should be; oil and services that are due; what a defect needs beyond a spanner. */
export function guidanceFor(inspected: Inspected): Guidance[] {
  const { features, verdicts, raised, oil, services, toFinish } = inspected;
  const order = itemsFor(features, "weekly").map(({ id }) => id);
  const ids = [...verdicts, ...raised].map(({ itemId }) => itemId ?? "");
  const off = [...new Set(ids)].filter((id) => !order.includes(id));
  return [...order, ...off].flatMap((itemId): Guidance[] => [
    ...verdicts.filter((verdict) => verdict.itemId === itemId).flatMap((verdict) => ofReading(verdict, inspected)),
    ...raised.filter((defect) => (defect.itemId ?? "") === itemId).flatMap((defect) => ofDefect(itemId, defect, inspected)),
    ...(oil?.due === true && oil.itemId === itemId ? [{ code: "oil-due", ...oil } as const] : []),
    ...services.filter((one) => one.due && one.itemId === itemId).map((one) => ({ code: "service-due", ...one }) as const),
    ...(toFinish.includes(itemId) ? [{ code: "tighten", itemId } as const] : []),
  ]);
}

function ofReading({ itemId, quantity, reading, asFound, asLeft, result }: ItemVerdict, inspected: Inspected): Guidance[] {
  const { unit } = reading;
  const leaks = asFound.category === "major" && quantity.endsWith("tyre-pressure");
  if (leaks) return [{ code: "leak", itemId, quantity, value: reading.asFound, unit, ...figuresOf(asFound) }];
  if (result !== "defect") return [];
  const last = asLeft === null || asLeft.outcome === "not-set" ? asFound : asLeft;
  const value = last === asLeft ? (reading.asLeft ?? reading.asFound) : reading.asFound;
  const code = last.outcome === "renew-soon" || last.outcome === "fails" ? last.outcome : "adjust";
  const said: Guidance = { code, itemId, quantity, value, unit, ...figuresOf(last) };
  return quantity === "chain-slack" ? [said, ...adjusters(itemId, value, inspected)] : [said];
}

const figuresOf = ({ limit, compared, stillKept }: ValueVerdict) => ({
  limit,
  ...(compared && { compared }),
  ...(stillKept && { stillKept }),
});

function ofDefect(itemId: string, defect: Inspected["raised"][number], { competences }: Inspected): Guidance[] {
  return [
    ...(defect.onlyNewPart ? [{ code: "new-part", itemId } as const] : []),
    ...(competences.includes(defect.competence) ? [] : [{ code: "expert", itemId, competence: defect.competence } as const]),
    ...(defect.secondPerson ? [{ code: "second-person", itemId } as const] : []),
  ];
}

/** The factor from the stated slack to the total travel; null where the method does not give the sag of the run. */
const travelPerSlack = { "total-travel": 1, "one-way": 2, "gap-to-swinging-arm": null } as const;

function adjusters(itemId: string, slackMm: number, { handbook: { chainSlack, chain }, verdicts }: Inspected): Guidance[] {
  if (chainSlack === undefined || chain?.spanMm === undefined || chain.adjusterPitchMm === undefined) return [];
  const times = travelPerSlack[chainSlack.method];
  if (times === null) return [{ code: "chain-total-travel", itemId }];
  const { spanMm, adjusterPitchMm, adjusterRangeMm } = chain;
  const slackWantedMm = (times * (chainSlack.minMm + chainSlack.maxMm)) / 2;
  const adjustment = chainAdjustment({ spanMm, slackAsFoundMm: times * slackMm, slackWantedMm, adjusterPitchMm });
  const said: Guidance[] = [{ code: "chain", itemId, chain: adjustment }];
  if (adjustment.direction !== "tighten") return said;

  const wear = verdicts.find(({ quantity }) => quantity === "chain-length");
  const length = wear?.asLeft ?? wear?.asFound;
  const elongationPercent = length?.compared?.value ?? 0;
  if (length && (length.outcome === "renew-soon" || length.outcome === "fails")) {
    said.push({ code: "chain-worn", itemId, elongationPercent, limitPercent: length.limit.most ?? 0 });
  }
  const usedMm = adjusterUse({ ...chain, spanMm }, elongationPercent) + adjustment.axleTravelMm;
  if (adjusterRangeMm !== undefined && usedMm > adjusterRangeMm) {
    said.push({ code: "chain-adjuster-end", itemId, usedMm, rangeMm: adjusterRangeMm });
  }
  return said;
}
