// Amounts of money as a page writes them: in the language's form, or that of the device where it has one.
import { decimalsOf, inUnits } from "../../../shared/rules/money.ts";
import { sayMoney } from "../../../shared/words/say-money.ts";
import { language, locale, say } from "./words.ts";

/** An amount in minor units; where the firm has no currency nothing has a price. */
export const sayAmount = (minor: number, currency: string | null): string =>
  currency === null ? say("costs.unknown") : sayMoney(minor, currency, language(), locale());

/** An amount as people type one in this currency: without its sign, nor a mark between thousands. */
export function asTyped(minor: number, currency: string): string {
  const decimals = decimalsOf(currency);
  const format = new Intl.NumberFormat(locale(), { minimumFractionDigits: decimals, maximumFractionDigits: decimals, useGrouping: false });
  return format.format(inUnits(minor, decimals) as Intl.StringNumericLiteral);
}

/** One that shows how. */
export const exampleOf = (currency: string): string => asTyped(1250, currency);
