// Bodies that cannot be understood, at every door: each gets a clear problem, nothing is lost, nothing is written.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type EveryRoute, expectProblem, openEveryRoute, taking, takingJson } from "../support/every-route.ts";

let every: EveryRoute;
beforeAll(async () => {
  every = await openEveryRoute();
});
afterAll(() => every.app.close());

describe("a body that cannot be understood", () => {
  test.each([
    ["is cut off", '{"id": "'],
    ["is no JSON", "id=1&x=2"],
    ["is empty", ""],
  ])("is refused as not JSON by every route where it %s", async (_what, text) => {
    await every.nothingWritten(takingJson, async (definition) => {
      const answer = await every
        .call(await every.callerOf(definition), definition)
        .set("content-type", "application/json")
        .send(text);
      expectProblem(answer, 400, "not-json", definition.operationId);
    });
  });

  // What is merged or copied with such a name reaches every object of the process; it is JSON all the same, so it is told as what it is.
  test.each([
    ['{"__proto__": {"x": 1}}', "/__proto__"],
    ['{"name": {"a/b": [1, {"\\u005f_proto__": null}]}, "timeZone": "UTC"}', "/name/a~1b/1/__proto__"],
    ['[{"constructor": {"prototype": {"x": 1}}}, {"__proto__": 1}]', "/0/constructor"],
    [`${"[".repeat(50_000)}{"__proto__": 1}${"]".repeat(50_000)}`, `${"/0".repeat(50_000)}/__proto__`],
  ])("is refused with the place of a name that no field may have: %#", async (text, pointer) => {
    await every.nothingWritten(takingJson, async (definition) => {
      const answer = await every
        .call(await every.callerOf(definition), definition)
        .set("content-type", "application/json")
        .send(text);
      expectProblem(answer, 422, "not-valid", definition.operationId);
      expect(answer.body.issues).toEqual([{ pointer, message: "is a name that no field may have" }]);
    });
    expect(({} as Record<string, unknown>)["x"]).toBeUndefined();
  });

  test.each(["application/xml", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/csv"])(
    "is refused by every route where it comes as %s",
    async (type) => {
      await every.nothingWritten(type === "text/csv" ? takingJson : taking, async (definition) => {
        const answer = await every
          .call(await every.callerOf(definition), definition)
          .set("content-type", type)
          .send("<a/>");
        expectProblem(answer, 415, "wrong-media-type", definition.operationId);
      });
    },
  );

  test("is refused by every route where it holds 5 MB, or more than the photo that is taken", async () => {
    await every.nothingWritten(taking, async (definition) => {
      const type = definition.bodyMediaTypes?.[0] ?? "application/json";
      const large = JSON.stringify({ note: "x".repeat(Math.max(5 * 1024 * 1024, definition.bodyLimitBytes ?? 0)) });
      const answer = await every
        .call(await every.callerOf(definition), definition)
        .set("content-type", type)
        // Of bytes that are called JSON the client would write out each as a number.
        .send(type === "application/json" ? large : Buffer.from(large));
      expectProblem(answer, 413, "too-large", definition.operationId);
    });
  });

  test.each([
    ["null", "null"],
    ["a list", "[]"],
    ["a list of one", "[{}]"],
    ["a text", '"x"'],
    ["a number", "1"],
    ["true", "true"],
    ["lists in each other, 100,000 deep", `${"[".repeat(100_000)}${"]".repeat(100_000)}`],
  ])("is refused with its place by every route where it is %s", async (_what, text) => {
    await every.nothingWritten(takingJson, async (definition) => {
      const answer = await every
        .call(await every.callerOf(definition), definition)
        .set("content-type", "application/json")
        .send(text);
      expectProblem(answer, 422, "not-valid", definition.operationId);
      expect(answer.body.issues.length, definition.operationId).toBeGreaterThan(0);
    });
  });

  test("is refused with issues by every route where it is an empty object, but for the policy, which then is all defaults", async () => {
    await every.nothingWritten(
      takingJson.filter(({ operationId }) => operationId !== "changePolicy"),
      async (definition) => {
        const answer = await every.call(await every.callerOf(definition), definition).send({});
        expectProblem(answer, 422, "not-valid", definition.operationId);
        expect(answer.body.issues.length, definition.operationId).toBeGreaterThan(0);
      },
    );
  });

  test("is refused by every route where it holds an unknown field, and the field is named; what tells of a defect or a fall is taken with it", async () => {
    const refusing = takingJson.filter(({ operationId }) => !["reportDefect", "reportFall", "submitDailyCheck"].includes(operationId));
    await every.nothingWritten(refusing, async (definition) => {
      const answer = await every
        .call(await every.callerOf(definition), definition)
        .send({ ...every.samples()[definition.operationId], "odd/field~": 1 });
      expectProblem(answer, 422, "not-valid", definition.operationId);
      // RFC 6901: ~ is written ~0 and / is written ~1
      expect(
        answer.body.issues.map(({ pointer }: { pointer: string }) => pointer),
        definition.operationId,
      ).toContain("/odd~1field~0");
    });
  });

  test("with thousands of mistakes is refused with how many they are, and the first hundred of them named", async () => {
    const body = Object.fromEntries(Array.from({ length: 20_000 }, (_, index) => [`f${index}`, 1]));
    const answer = await (await every.as("F001")).post("/v1/depots").send(body);
    expectProblem(answer, 422, "not-valid", "addDepot");
    expect(answer.body.issues).toHaveLength(100);
    // The two that are missing are counted too.
    expect(answer.body.detail).toBe("20002 fields are not valid; the first 100 are named. Nothing was stored.");
    expect(answer.text.length).toBeLessThan(10_000);
  });
});
