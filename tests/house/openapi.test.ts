// The description of the calls as it is served: OpenAPI 3.1, whole, every operation in it, every reference resolved.
import { beforeAll, describe, expect, test } from "vitest";
import { kinds } from "../../src/ledger/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { testService } from "../support/test-service.ts";

type Node = Readonly<Record<string, unknown>>;

const { app } = testService();
let document: Node & {
  openapi: string;
  paths: Record<
    string,
    Record<
      string,
      Node & { operationId: string; responses: Record<string, Node>; security?: unknown[]; parameters?: Node[]; requestBody?: Node }
    >
  >;
  components: { schemas: Record<string, Node> };
};
beforeAll(async () => {
  document = (await app.anyone.get("/openapi.json")).body;
});

const operations = () =>
  Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );

/** Every object in the document with the path that leads to it. */
function* objects(node: unknown, path = "#"): Generator<{ path: string; node: Node }> {
  if (node === null || typeof node !== "object") return;
  if (!Array.isArray(node)) yield { path, node: node as Node };
  for (const [key, part] of Object.entries(node)) yield* objects(part, `${path}/${key}`);
}

const resolve = (reference: string): unknown =>
  reference
    .replace(/^#\//, "")
    .split("/")
    .reduce<unknown>((node, key) => (node as Node | undefined)?.[key.replaceAll("~1", "/").replaceAll("~0", "~")], document);

describe("/openapi.json", () => {
  test("is OpenAPI 3.1 with a title, a version and a way to sign in", () => {
    expect(document.openapi).toMatch(/^3\.1\.\d+$/);
    expect(document["info"]).toMatchObject({ title: "Ferrule", version: expect.any(String) });
    expect(document.components).toMatchObject({ securitySchemes: { accessToken: { type: "http", scheme: "bearer" } } });
  });

  test("has every route of the table, under its operation name, and no other", () => {
    const described = operations().map(({ path, method, operation }) => `${method.toUpperCase()} ${path} ${operation.operationId}`);
    const hung = allRoutes.map(({ method, path, operationId }) => `${method} ${path.replace(/:(\w+)/g, "{$1}")} ${operationId}`);
    expect(described.sort()).toEqual(hung.sort());
  });

  test("has what a record of each kind and version says", () => {
    const described = Object.keys(document.components.schemas).filter((name) => name.startsWith("Record."));
    expect(described.sort()).toEqual(
      Object.entries(kinds)
        .flatMap(([kind, { version }]) => Array.from({ length: version }, (_, at) => `Record.${kind}.${at + 1}`))
        .sort(),
    );
    expect(document.components.schemas["Record.machine-withdrawn.1"]).toMatchObject({ type: "object", required: ["reason"] });
    expect(document.components.schemas).toHaveProperty("DefectWithCourse");
  });

  test("resolves every reference", () => {
    const references = [...objects(document)].flatMap(({ path, node }) =>
      typeof node["$ref"] === "string" ? [{ path, reference: node["$ref"] }] : [],
    );
    expect(references.length).toBeGreaterThan(20);
    expect(references.filter(({ reference }) => resolve(reference) === undefined)).toEqual([]);
  });

  test("gives every field of every schema a type, a reference, a choice or a fixed value", () => {
    const says = ["type", "$ref", "anyOf", "oneOf", "allOf", "enum", "const"];
    // These hold whatever was recorded; an empty schema says just that.
    const anything =
      /\/(data|submitted)(\/anyOf\/\d+)?\/additionalProperties$|\/(Correction(Input)?|Record\.record-corrected\.\d+)\/properties\/was$/;
    const silent = [...objects(document.components.schemas, "#/components/schemas")].filter(({ path, node }) => {
      const isSchema =
        /^#\/components\/schemas\/[^/]+$/.test(path) || /\/(properties\/[^/]+|items|additionalProperties|anyOf\/\d+)$/.test(path);
      return isSchema && !anything.test(path) && !says.some((key) => key in node);
    });
    expect(silent.map(({ path }) => path)).toEqual([]);
  });

  test("describes for each call its success, its problem, its parameters and who may go without a token", () => {
    for (const { path, method, operation } of operations()) {
      const where = `${method} ${path}`;
      expect(
        Object.keys(operation.responses).some((status) => status.startsWith("2")),
        where,
      ).toBe(true);
      expect(operation.responses["default"], where).toMatchObject({
        content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
      });
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
      expect(
        (operation.parameters ?? []).filter((one) => one["in"] === "path").map((one) => one["name"]),
        where,
      ).toEqual(inPath);
      const route = allRoutes.find(({ operationId }) => operationId === operation.operationId);
      expect(operation.security?.length === 0, where).toBe(route?.who === "anyone");
      expect(operation.requestBody !== undefined, where).toBe(route?.body !== undefined);
    }
  });
});

test("/docs can be browsed without a token and needs nothing from elsewhere", async () => {
  const page = await app.anyone.get("/docs").redirects(1);
  expect(page.status).toBe(200);
  expect(page.headers["content-type"]).toContain("text/html");
  expect(page.text).not.toMatch(/(src|href)="https?:/);
});
