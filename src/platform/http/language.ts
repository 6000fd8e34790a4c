// The language that a caller wants to read.
import type { FastifyRequest } from "fastify";
import { isLanguage, type Language } from "../../../shared/words/index.ts";

/** What a header Accept-Language likes best of the languages that there are (RFC 9110, 12.5.4); English where it names none of them. */
export function preferredLanguage({ headers }: Pick<FastifyRequest, "headers">): Language {
  const named = (headers["accept-language"] ?? "").split(",").map((range) => {
    const [tag = "", ...params] = range.split(";").map((part) => part.trim().toLowerCase());
    const weight = params.find((param) => param.startsWith("q="))?.slice(2);
    return { language: tag.split("-")[0] ?? "", weight: weight === undefined ? 1 : Number(weight) };
  });
  // A stable sort: of what is liked alike, the first named wins. A weight that is no number is none.
  const liked = named.filter(({ weight }) => weight > 0).sort((one, other) => other.weight - one.weight);
  return liked.map(({ language }) => language).find(isLanguage) ?? "en";
}
