// English of where categories and limits come from, as papers cite it: made from the sources themselves, so that it is written once.
import { type Source, type SourceKey, sources } from "../../catalogue/sources.ts";

/** What has no text behind it has no place in one, and the figures of a handbook are named where they are used. */
const cited = (key: string, { title, locator, basis }: Source): string =>
  basis === "common-practice" || key === "handbook" ? title : `${title}, ${locator}`;

export const sourceWords = Object.fromEntries(
  Object.entries<Source>(sources).map(([key, source]) => [`source.${key}`, cited(key, source)]),
) as Readonly<Record<`source.${SourceKey}`, string>>;
