// The sentence for a piece of guidance, and for a limit.
import type { Guidance } from "../rules/guidance.ts";
import type { DecidingLimit } from "../rules/verdict.ts";
import type { OilAtItem } from "../rules/weekly-inspection.ts";
import { formatQuantity } from "../units.ts";
import { nameOfItem } from "./say-reason.ts";
import { type Language, localeOf, word, wordByKey } from "./speak.ts";

/** A limit as people read it: `20 mm to 30 mm`, `at least 1 mm`. */
export function sayLimit({ least, most, unit }: DecidingLimit, language: Language = "en"): string {
  const amount = (value: number): string => formatQuantity(value, unit, localeOf(language));
  if (least !== null && most !== null) return word("limit.range", language, { least: amount(least), most: amount(most) });
  if (least !== null) return word("limit.least", language, { least: amount(least) });
  if (most !== null) return word("limit.most", language, { most: amount(most) });
  return word("limit.not-set", language);
}

/** When oil is due: `in 800 km or in 20 days, whichever comes first`; where it is due, what is over. */
export function sayOilDue({ due, kmLeft, daysLeft, changed }: OilAtItem, language: Language = "en"): string {
  const left = (amount: number | null, unit: "km" | "days"): string | null => {
    if (amount === null || (due && amount > 0)) return null;
    return wordByKey(`guidance.oil.${amount <= 0 ? "over" : "left"}.${unit}`, language, {
      amount: new Intl.NumberFormat(localeOf(language), { maximumFractionDigits: 0 }).format(Math.abs(amount)),
    });
  };
  const [km, days] = [left(kmLeft, "km"), left(daysLeft, "days")];
  const both = due ? "guidance.oil.both-over" : "guidance.oil.whichever";
  const said = km !== null && days !== null ? word(both, language, { km, days }) : (km ?? days ?? "");
  return changed ? said : word("guidance.oil.since-entry", language, { due: said });
}

/** Guidance with its sentence, as answers carry it. */
export function sayGuidance(guidance: Guidance, language: Language = "en"): { itemId: string; code: string; text: string } {
  const { itemId, code } = guidance;
  return { itemId, code, text: textOf(guidance, nameOfItem(itemId, language), language) };
}

function textOf(guidance: Guidance, item: string, language: Language): string {
  switch (guidance.code) {
    case "chain": {
      const { direction, flatsPerSide: flats, axleTravelMm } = guidance.chain;
      if (flats === 0) return word("guidance.chain.less-than-a-flat", language);
      const turn = word(direction === "slacken" ? "guidance.chain.slacken" : "guidance.chain.tighten", language);
      return word("guidance.chain", language, {
        direction: turn,
        flats,
        travel: formatQuantity(Math.abs(axleTravelMm), "mm", localeOf(language)),
      });
    }
    case "chain-worn": {
      const { elongationPercent, limitPercent } = guidance;
      return word("guidance.chain-worn", language, {
        percent: formatQuantity(elongationPercent, "percent", localeOf(language)),
        limit: formatQuantity(limitPercent, "percent", localeOf(language)),
      });
    }
    case "chain-adjuster-end":
      return word("guidance.chain-adjuster-end", language, {
        used: formatQuantity(guidance.usedMm, "mm", localeOf(language)),
        range: formatQuantity(guidance.rangeMm, "mm", localeOf(language)),
      });
    case "expert":
      return word("guidance.expert", language, { item, competence: wordByKey(`competence.${guidance.competence}`, language) });
    case "oil-due":
      return word("guidance.oil-due", language, { item, due: sayOilDue(guidance, language) });
    case "chain-total-travel":
    case "new-part":
    case "second-person":
      return word(`guidance.${guidance.code}`, language, { item });
    case "adjust":
    case "renew-soon":
    case "fails":
    case "leak": {
      const { code, value, unit, limit } = guidance;
      return word(`guidance.${code}`, language, {
        item,
        value: formatQuantity(value, unit, localeOf(language)),
        limit: sayLimit(limit, language),
      });
    }
    default:
      return guidance satisfies never;
  }
}
