// In which language a paper comes: on every route that answers a PDF, over HTTP.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { repairOf } from "../support/acts.ts";
import { englishIn } from "../support/english.ts";
import { type EveryRoute, openEveryRoute } from "../support/every-route.ts";
import { checkFinding } from "../support/sheets.ts";
import { wholeBody } from "../support/whole-body.ts";

const isPaper = ({ answers }: Route): boolean =>
  Object.values(answers).some((answer) => "mediaType" in answer && answer.mediaType === "application/pdf");
const papers = allRoutes.filter(isPaper);

let every: EveryRoute;
beforeAll(async () => {
  every = await openEveryRoute();
  const { app, as, machineId } = every;
  const found = await (await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "front-brake-cable.frayed"));
  app.context.clock.advance(60_000);
  await (await as("M001")).post(`/v1/defects/${found.body.defects[0].id}/repairs`).send(repairOf(app)).expect(201);
  await (await as("M001")).post(`/v1/defects/${found.body.defects[0].id}/notes`).send({ id: randomUUID(), note: "Zug liegt bereit" });
});
afterAll(() => every.app.close());

/** The answer of this route; `asked` beside what it needs anyway. */
async function ask(definition: Route, asked: object, headers: Readonly<Record<string, string>> = {}) {
  const needed = definition.operationId === "fleetReview" ? { month: "2026-07" } : {};
  const call = every.call(await every.callerOf(definition), definition).query({ ...needed, ...asked });
  for (const [name, value] of Object.entries(headers)) call.set(name, value);
  return call.buffer(true).parse(wholeBody);
}

test("there are twelve papers, and the description says of each that it takes `lang`", async () => {
  expect(papers).toHaveLength(12);
  const { paths } = (await every.app.anyone.get("/openapi.json").expect(200)).body;
  for (const { path } of papers) {
    const told = paths[path.replace(/:(\w+)/g, "{$1}")].get.parameters.find(({ name }: { name: string }) => name === "lang");
    expect([path, told?.schema.enum, told?.required ?? false]).toEqual([path, ["en", "de"], false]);
    expect(`${told.description ?? told.schema.description}`).toContain("Accept-Language");
  }
});

describe.each(papers.map((definition) => [definition.operationId, definition] as const))("%s", (_, definition) => {
  test("in German says nothing in English, and the file and the answer say that it is German", async () => {
    const { status, headers, body } = await ask(definition, { lang: "de" });
    expect(status).toBe(200);
    expect([headers["content-language"], headers["vary"]]).toEqual(["de", expect.stringContaining("accept-language")]);
    expect((body as Buffer).includes("/Lang (de)")).toBe(true);
    const { text, spoken, outline, info } = await readPdf(body);
    expect(englishIn([text, spoken, ...outline, String(info["Title"])])).toEqual([]);
    expect(text).toContain("Seite 1 von");
  });

  test("without `lang` is in the language that the reader likes best, and `lang` goes before that", async () => {
    const language = async (asked: object, liked?: string) =>
      (await ask(definition, asked, liked === undefined ? {} : { "accept-language": liked })).headers["content-language"];
    expect(await language({})).toBe("en-GB");
    expect(await language({}, "de-AT,de;q=0.9,en;q=0.8")).toBe("de");
    expect(await language({ lang: "en" }, "de")).toBe("en-GB");
  });

  test("refuses a language that nobody has learnt", async () => {
    const { status, body } = await ask(definition, { lang: "fr" });
    expect(status).toBe(422);
    const { code, issues } = JSON.parse(String(body));
    expect([code, issues[0].pointer]).toEqual(["not-valid", "/query/lang"]);
  });
});

test.each([
  ["en;q=0.4, de;q=0.6", "de"],
  ["fr, de;q=0.5", "de"],
  ["de;q=0, en", "en"],
  ["DE-ch", "de"],
  ["*", "en"],
  ["fr", "en"],
  ["de;q=much", "en"],
  [";;,,", "en"],
])("whoever likes %s reads %s, on the pages about refusals too", async (liked, language) => {
  const { headers } = await every.app.anyone.get("/problems/not-found").set("accept-language", liked).expect(200);
  expect(headers["content-language"]).toBe(language);
});
