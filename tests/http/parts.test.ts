// The firm's list of parts over HTTP: kept by hand and imported, with prices that hold from a day on.
import { beforeAll, describe, expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { chainOf, expectRefused, openSmallFleet, type SmallFleet } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let fleet: SmallFleet;
beforeAll(async () => {
  fleet = await openSmallFleet(app);
});

const send = (text: string, client = fleet.manager) => client.post("/v1/parts/import").set("content-type", "text/csv").send(text);
const refused = (text: string, pointers: readonly string[]) => expectRefused(app, () => send(text), 422, "import-refused", pointers);
const keep = (number: string, body: object, client = fleet.manager) => client.put(`/v1/parts/${encodeURIComponent(number)}`).send(body);
const found = async (search: string) =>
  (await expectAnswer(fleet.mechanic.get("/v1/parts").query({ search }), 200)).items as { number: string }[];
const lastEntry = async () => (await chainOf(app.context.db, null)).at(-1);

describe("before the firm says in which currency it counts", () => {
  test("a price is refused, by hand and in a file, and a part without one is taken", async () => {
    await expectRefused(app, () => keep("P-1", { name: "Plug", priceMinor: 435 }), 409, "no-currency");
    await expectRefused(app, () => send("number,name,price\nP-1,Plug,4.35"), 409, "no-currency");
    expect(await expectAnswer(keep("P-1", { name: "Plug" }), 200)).toMatchObject({ number: "P-1", name: "Plug", price: null, prices: [] });
    expect(await expectAnswer(send("number,name\nP-2,Bulb"), 201)).toEqual({ read: 1, added: 1, changed: 0, unchanged: 0 });
  });

  test.each([{ currency: "eur" }, { currency: "ZZZ" }, { hourlyRateMinor: -1 }, { hourlyRateMinor: 10.5 }])(
    "the policy takes no %j",
    async (change) => {
      await expectAnswer(fleet.manager.patch("/v1/policy").send(change), 422, "not-valid");
    },
  );

  test("the currency is chosen in the policy, with a record", async () => {
    const policy = await expectAnswer(fleet.manager.patch("/v1/policy").send({ currency: "EUR", hourlyRateMinor: 5400 }), 200);
    expect(policy).toMatchObject({ currency: "EUR", hourlyRateMinor: 5400 });
    expect(await lastEntry()).toMatchObject({ kind: "policy-changed", data: { changed: ["currency", "hourlyRateMinor"] } });
  });
});

describe("a part of the list", () => {
  test("its price holds from its day on, the next from its own; the same again is no second record", async () => {
    await expectAnswer(keep("4711 08", { name: "Brake cable front", priceMinor: 1250 }), 200);
    expect(await lastEntry()).toEqual({
      kind: "part-kept",
      staffId: app.cast.staffId("F001"),
      data: {
        ...{ number: "4711 08", name: "Brake cable front", before: null, priceBefore: null },
        price: { fromDay: "2026-07-13", priceMinor: 1250, currency: "EUR" },
      },
    });
    const next = await expectAnswer(keep("471108", { name: "Brake cable front", priceMinor: 1310, fromDay: "2026-08-01" }), 200);
    expect(next).toMatchObject({ number: "4711 08", price: { priceMinor: 1250 }, prices: [{ priceMinor: 1250 }, { priceMinor: 1310 }] });
    const { length } = await chainOf(app.context.db, null);
    await expectAnswer(keep("4711 08", { name: "Brake cable front", priceMinor: 1310, fromDay: "2026-08-01" }), 200);
    expect(await chainOf(app.context.db, null)).toHaveLength(length);
  });

  test("a price of the same day takes the place of a slip, null takes it away, and the records have all three", async () => {
    await expectAnswer(keep("TUBE 1", { name: "Tube", priceMinor: 90_000 }), 200);
    await expectAnswer(keep("tube1", { name: "Tube", priceMinor: 900 }), 200);
    expect(await lastEntry()).toMatchObject({ data: { priceBefore: { priceMinor: 90_000, currency: "EUR" }, price: { priceMinor: 900 } } });
    expect(await expectAnswer(keep("tube1", { name: "Tube", priceMinor: null }), 200)).toMatchObject({ price: null, prices: [] });
    expect(await lastEntry()).toMatchObject({ data: { priceBefore: { priceMinor: 900 }, price: { priceMinor: null } } });
    await expectAnswer(keep("tube1", { name: "Inner tube" }), 200);
    expect(await lastEntry()).toMatchObject({ data: { before: { name: "Tube" }, name: "Inner tube", price: null } });
  });

  test.each([
    [{ name: "" }],
    [{ name: "Plug", priceMinor: -1 }],
    [{ name: "Plug", priceMinor: 1.5 }],
    [{ name: "Plug", priceMinor: 10_000_000_001 }],
    [{ name: "Plug", fromDay: "2026-07-01" }],
    [{ name: "Plug", priceMinor: 1, fromDay: "1.7.2026" }],
  ])("%j is refused", async (body) => {
    await expectRefused(app, () => keep("BAD 1", body), 422, "not-valid");
  });

  test("a number of nothing but spaces, or too long, is none", async () => {
    await expectRefused(app, () => keep(" \u200b ", { name: "Plug" }), 422, "not-valid");
    await expectRefused(app, () => keep("x".repeat(61), { name: "Plug" }), 422, "not-valid");
  });

  test("a number with a slash is one like any other", async () => {
    await expectAnswer(keep("AB/12", { name: "Lever" }), 200);
    expect(await found("ab/1")).toMatchObject([{ number: "AB/12" }]);
  });

  test("it is found by what stands in its number, spaces and case aside, or in its name; page by page by number", async () => {
    expect(await found("11 0")).toMatchObject([{ number: "4711 08" }]);
    expect(await found("CABLE f")).toMatchObject([{ number: "4711 08" }]);
    expect(await found("%")).toEqual([]);
    const first = await expectAnswer(fleet.auditor.get("/v1/parts").query({ limit: 2 }), 200);
    const second = await expectAnswer(fleet.auditor.get("/v1/parts").query({ limit: 200, cursor: first.nextCursor }), 200);
    const numbers = [...first.items, ...second.items].map(({ number }: { number: string }) => number);
    expect(numbers).toEqual(["4711 08", "AB/12", "P-1", "P-2", "TUBE 1"]);
  });

  test("a manager of all depots writes, mechanic and auditor read, a rider does neither", async () => {
    for (const client of [fleet.mechanic, fleet.auditor, fleet.rider, fleet.farManager]) {
      await expectAnswer(keep("P-1", { name: "Spark plug" }, client), 403, client === fleet.farManager ? "other-depot" : "not-your-role");
    }
    await expectAnswer(fleet.rider.get("/v1/parts"), 403, "not-your-role");
    await expectAnswer(fleet.farManager.get("/v1/parts"), 200);
  });
});

describe("a file of parts", () => {
  test("as a spreadsheet saves it: mark, semicolons, quotes, decimal commas, any order; known parts change, none goes", async () => {
    const text =
      '\uFEFFName;Price;number;FromDay;\r\n"Pad; rear";"8,5";PAD 2;2026-06-01;\r\n;;;;\r\nSpark plug;4,35;p-1;;\r\nBulb;;P-2;;\r\n';
    expect(await expectAnswer(send(text), 201)).toEqual({ read: 3, added: 1, changed: 1, unchanged: 1 });
    expect(await found("PAD 2")).toMatchObject([{ name: "Pad; rear", price: { priceMinor: 850, fromDay: "2026-06-01", currency: "EUR" } }]);
    expect(await found("P-1")).toMatchObject([{ number: "P-1", name: "Spark plug", price: { priceMinor: 435, fromDay: "2026-07-13" } }]);
    expect(await found("AB/12")).toHaveLength(1);
    expect(await lastEntry()).toMatchObject({ kind: "parts-imported", data: { parts: [{ number: "PAD 2" }, { number: "P-1" }] } });
  });

  test("each bad row is named at its field, and none of the good ones is kept", async () => {
    const rows = [
      "GOOD 1,Good,1.00,",
      "BAD1,Bad,-1,",
      "BAD2,Bad,1.234,",
      "BAD3,Bad,free,",
      "BAD4,,1,",
      ",Bad,1,",
      "good1,Bad,1,",
      "BAD5,Bad,1,01.07.2026",
      "BAD6,Bad,,2026-07-01",
      `${"x".repeat(61)},Bad,1,`,
      `BAD7,${"x".repeat(201)},1,`,
      "BAD8,Bad,1,,extra",
      "BAD9,Bad,100000000.01,",
    ];
    await refused(`number,name,price,fromDay\n${rows.join("\n")}`, [
      ...["/rows/3/price", "/rows/4/price", "/rows/5/price", "/rows/6/name", "/rows/7/number", "/rows/8/number", "/rows/9/fromDay"],
      ...["/rows/10/price", "/rows/11/number", "/rows/12/name", "/rows/13", "/rows/14/price"],
    ]);
  });

  test.each([
    ["a missing column", "number,price\nX,1", ["/rows/1/name"]],
    ["a column that is none", "number,name,colour\nX,Y,red", ["/rows/1/colour"]],
    ["no row under the header", "number,name,price", ["/"]],
    ["an open quotation mark", 'number,name\n"X,Y', ["/"]],
    ["another encoding than UTF-8", "number,name\nX,Z\uFFFDndkerze", ["/"]],
    ["more parts than a file may hold", `number,name\n${Array.from({ length: 10_001 }, (_, i) => `X${i},Y`).join("\n")}`, ["/"]],
  ])("%s refuses the file", async (_what, text, pointers) => {
    await refused(text, pointers);
  });

  test("ten thousand parts are taken at once, told in records of 500", async () => {
    const before = (await chainOf(app.context.db, null)).length;
    const rows = Array.from({ length: 10_000 }, (_, i) => `M${i},Part ${i},${i}.05`);
    expect(await expectAnswer(send(`number,name,price\n${rows.join("\n")}`), 201)).toMatchObject({ read: 10_000, added: 10_000 });
    const entries = (await chainOf(app.context.db, null)).slice(before);
    expect(entries.map(({ kind }) => kind)).toEqual(Array.from({ length: 20 }, () => "parts-imported"));
    expect(await found("M9999")).toMatchObject([{ price: { priceMinor: 999_905 } }]);
  }, 120_000);
});

test("a currency that is changed leaves older prices in their own", async () => {
  await expectAnswer(fleet.manager.patch("/v1/policy").send({ currency: "JPY" }), 200);
  await expectAnswer(keep("PAD 2", { name: "Pad, rear", priceMinor: 900, fromDay: "2026-07-13" }), 200);
  expect(await found("PAD 2")).toMatchObject([
    {
      prices: [
        { priceMinor: 850, currency: "EUR" },
        { priceMinor: 900, currency: "JPY" },
      ],
      price: { currency: "JPY" },
    },
  ]);
  await refused("number,name,price\nPAD 2,Pad,9.5", ["/rows/2/price"]);
});
