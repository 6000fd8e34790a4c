import { decimalsOf, inUnits } from "../rules/money.ts";
import { type Language, localeOf } from "./speak.ts";

/** An amount as the language writes it, to its last decimal; `locale` where somebody's own is known. */
export const sayMoney = (minor: number, currency: string, language: Language, locale: string = localeOf(language)): string =>
  new Intl.NumberFormat(locale, { style: "currency", currency }).format(inUnits(minor, decimalsOf(currency)) as Intl.StringNumericLiteral);
