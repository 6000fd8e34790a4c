// The sentence for a piece of guidance, and for a limit.
import type { Unit } from "../contracts/quantities.ts";
import type { ChainAdjustment } from "../rules/chain.ts";
import type { DueAtItem } from "../rules/engine.ts";
import type { AboutReading, Guidance } from "../rules/guidance.ts";
import type { DecidingLimit } from "../rules/verdict.ts";
import { convert, decimalsBeside, formatQuantity, LIMIT_DECIMALS } from "../units.ts";
import { nameOfItem } from "./say-reason.ts";
import { type Language, localeOf, word, wordByKey, wordCounted } from "./speak.ts";

/** A limit as people read it: `20 mm to 30 mm`, `at least 1 mm`. */
export function sayLimit({ least, most, unit }: DecidingLimit, language: Language = "en"): string {
  const amount = (value: number): string => formatQuantity(value, unit, localeOf(language), LIMIT_DECIMALS);
  if (least !== null && most !== null) return word("limit.range", language, { least: amount(least), most: amount(most) });
  if (least !== null) return word("limit.least", language, { least: amount(least) });
  if (most !== null) return word("limit.most", language, { most: amount(most) });
  return word("limit.not-set", language);
}

/** When oil or a service is due: `in 800 km or in 20 days, whichever comes first`; where it is due, what is over. */
export function sayDue({ due, kmLeft, daysLeft, changed }: DueAtItem, language: Language = "en"): string {
  const left = (amount: number | null, unit: "km" | "days"): string | null => {
    if (amount === null || (due && amount > 0)) return null;
    if (amount === 0) return word(`guidance.oil.now.${unit}`, language);
    const way = amount < 0 ? "over" : "left";
    const about = Math.round(Math.abs(amount));
    if (unit === "days") return wordCounted(`guidance.oil.${way}.days`, about, language);
    return word(`guidance.oil.${way}.km`, language, { amount: new Intl.NumberFormat(localeOf(language)).format(about) });
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

const readIn = (language: Language, value: number, unit: Unit, beside: readonly (number | null)[] = []): string =>
  formatQuantity(value, unit, localeOf(language), decimalsBeside(value, beside, unit));

/** Who asks for what: `the handbook asks for at least 2 mm`. */
const sayAsks = (limit: DecidingLimit, language: Language): string =>
  limit.kind === "not-set"
    ? sayLimit(limit, language)
    : word(`guidance.asks.${limit.kind}`, language, { limit: sayLimit(limit, language) });

/** The reading, with what was compared where that is another figure, each told apart from the limit that it is past. */
function sayReading({ value, unit, limit, compared, stillKept }: AboutReading, language: Language): string {
  const bounds = [limit, stillKept].flatMap((one) => (one && one.unit === (compared?.unit ?? unit) ? [one.least, one.most] : []));
  if (compared === undefined) return readIn(language, value, unit, bounds);
  const read = readIn(language, value, unit);
  const figure = readIn(language, compared.value, compared.unit, bounds);
  return compared.unit === "percent" ? word("guidance.longer", language, { value: read, percent: figure }) : `${read} (${figure})`;
}

/** A tyre against the pressure that it should have: the middle of the limit, which is 10 % of it to either side. */
function leakOf({ value, unit, limit }: AboutReading): { readonly target: number; readonly share: number } {
  const target = Number((((limit.least ?? 0) + (limit.most ?? 0)) / 2).toPrecision(12));
  return { target, share: (1 - convert(value, unit, limit.unit) / target) * 100 };
}

function chainText({ direction, flatsPerSide, flatsExact, axleTravelMm }: ChainAdjustment, language: Language): string {
  const needed = Math.abs(axleTravelMm);
  // Each flat moves the axle by the same: what the whole ones do is what is printed beside them.
  const travel = flatsPerSide === 0 ? 0 : (needed * flatsPerSide) / Math.abs(flatsExact);
  return word(flatsPerSide === 0 ? "guidance.chain.less-than-a-flat" : "guidance.chain", language, {
    direction: word(direction === "slacken" ? "guidance.chain.slacken" : "guidance.chain.tighten", language),
    flats: wordCounted("guidance.chain.flats", flatsPerSide, language),
    travel: readIn(language, travel, "mm"),
    needed: readIn(language, needed, "mm"),
  });
}

function textOf(guidance: Guidance, item: string, language: Language): string {
  switch (guidance.code) {
    case "chain":
      return chainText(guidance.chain, language);
    case "chain-worn": {
      const { elongationPercent, limitPercent } = guidance;
      return word("guidance.chain-worn", language, {
        percent: readIn(language, elongationPercent, "percent", [limitPercent]),
        limit: formatQuantity(limitPercent, "percent", localeOf(language), LIMIT_DECIMALS),
      });
    }
    case "chain-adjuster-end":
      return word("guidance.chain-adjuster-end", language, {
        used: readIn(language, guidance.usedMm, "mm", [guidance.rangeMm]),
        range: formatQuantity(guidance.rangeMm, "mm", localeOf(language), LIMIT_DECIMALS),
      });
    case "expert":
      return word("guidance.expert", language, { item, competence: wordByKey(`competence.${guidance.competence}`, language) });
    case "oil-due":
    case "service-due":
      return word(`guidance.${guidance.code}`, language, { item, due: sayDue(guidance, language) });
    case "chain-total-travel":
    case "new-part":
    case "second-person":
    case "tighten":
      return word(`guidance.${guidance.code}`, language, { item });
    case "leak": {
      const { target, share } = leakOf(guidance);
      const figures = {
        percent: readIn(language, share, "percent"),
        target: formatQuantity(target, guidance.limit.unit, localeOf(language), LIMIT_DECIMALS),
      };
      return word("guidance.leak", language, { item, value: readIn(language, guidance.value, guidance.unit), ...figures });
    }
    case "adjust":
    case "renew-soon":
    case "fails": {
      const { code, limit, stillKept, compared } = guidance;
      const about = { item, value: sayReading(guidance, language) };
      if (code === "fails" && limit.kind === "legal" && limit.least === null && limit.most === null) {
        return word("guidance.fails.pattern", language, about);
      }
      if (code === "fails" && compared?.unit === "percent" && limit.most !== null) {
        const from = formatQuantity(limit.most, limit.unit, localeOf(language), LIMIT_DECIMALS);
        return word("guidance.fails.at-once", language, { ...about, limit: from });
      }
      const asks = [limit, ...(stillKept ? [stillKept] : [])].map((one) => sayAsks(one, language)).join(", ");
      return word(`guidance.${code}`, language, { ...about, asks });
    }
    default:
      return guidance satisfies never;
  }
}
