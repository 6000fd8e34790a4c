// The address that every refusal names as its type (RFC 9457, 3.1.1): what it means and what to do, for people and for programs.
import { z } from "zod";
import type { OtherLanguage, ProblemWords } from "../../../shared/words/index.ts";
import type { ServiceContext } from "../context.ts";
import { type ErrorEntry, platformErrors } from "../errors.ts";
import { preferredLanguage } from "./language.ts";
import { MadeAsText, type Route, routesWith, tableOf } from "./route.ts";
import { anyone } from "./who.ts";
import { none } from "./whose.ts";

const shownProblemSchema = z
  .object({
    code: z.string(),
    status: z.number().int(),
    title: z.string(),
    help: z.string().meta({ description: "What it means and what to do" }),
  })
  .meta({ id: "ShownProblem" });

const escaped = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");

const { route, routes } = routesWith<ServiceContext>();

const table = tableOf({
  showProblem: ["GET /problems/:code", anyone, none],
});

/**
 * The route that shows each of these problems: as a page if the caller prefers HTML, and in the language that they prefer. If a language lacks
 * an error, the compiler names it.
 */
export function problemRoutes<Code extends string>(
  entries: Readonly<Record<Code, ErrorEntry>>,
  otherLanguages: Readonly<Record<OtherLanguage, ProblemWords<Code>>>,
): readonly Route<ServiceContext>[] {
  const isCode = (code: string): code is Code => Object.hasOwn(entries, code);
  const shownIn = (language: OtherLanguage, code: Code) => ({
    title: otherLanguages[language][`problem.${code}` as const],
    help: otherLanguages[language][`problem.${code}.help` as const],
  });
  const showProblem = route({
    summary: "What a refusal means and what to do: JSON, or a page for a browser",
    params: z.strictObject({ code: z.string().max(60) }),
    answers: { 200: shownProblemSchema },
    handler: ({ params: { code }, request, reply }) => {
      if (!isCode(code)) throw platformErrors.problem("not-found", "No refusal of this service has that code.");
      const { status, title, help } = entries[code];
      const language = preferredLanguage(request);
      const shown = { code, status, ...(language === "en" ? { title, help } : shownIn(language, code)) };
      reply.header("vary", "accept, accept-language").header("cache-control", "public, max-age=3600").header("content-language", language);
      if (!(request.headers.accept ?? "").includes("text/html")) return shown;
      reply.header("content-security-policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'");
      return new MadeAsText(
        "text/html; charset=utf-8",
        `<!doctype html><html lang="${language}"><meta charset="utf-8"><meta name="viewport" content="width=device-width">` +
          `<meta name="color-scheme" content="light dark"><title>${escaped(shown.title)}</title>` +
          `<body style="font:18px/1.5 sans-serif;max-width:34em;margin:3em auto;padding:0 1em">` +
          `<h1 style="font-size:1.4em">${escaped(shown.title)}</h1><p>${escaped(shown.help)}</p><p><code>${escaped(code)}</code> · HTTP ${status}</p>`,
      );
    },
  });
  return routes("service", table, { showProblem });
}
