// A month of records over HTTP: what an auditor can compute from the lines alone, and which entries a month has.
import { execFileSync } from "node:child_process";
import { parse } from "csv-parse/sync";
import { beforeAll, describe, expect, test } from "vitest";
import { expectAnswer, repairOf, throughItsCourse } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { hasPython } from "../support/packs.ts";
import { canonicalised, type Line, mustHold } from "../support/record-lines.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { wholeBody } from "../support/whole-body.ts";

const thai = "\u0e2a\u0e38\u0e1e\u0e31\u0e15\u0e23\u0e32 \u0e1b\u0e31\u0e0d\u0e0d\u0e32\u0e27\u0e31\u0e12\u0e19\u0e4c";
const cyrillic = "\u041e\u043b\u0435\u043d\u0430 \u0406\u0432\u0430\u0449\u0435\u043d\u043a\u043e";

const { app, as } = testService(() => openTestContext("2026-03-28T06:00:00.000Z"));
let homeMachine: string;
let farMachine: string;
const turn = { lastInFarMarch: "", firstInFarApril: "", lastInHomeMarch: "", firstInHomeApril: "" };

const fetchMonth = async (query: object, who = "A001"): Promise<{ text: string; headers: Record<string, string> }> => {
  const answer = await (await as(who)).get("/v1/records").query(query).buffer(true).parse(wholeBody);
  const text = (answer.body as Buffer).toString("utf8");
  expect(answer.status, text).toBe(200);
  return { text, headers: answer.headers as Record<string, string> };
};
const linesOf = async (query: object, who?: string): Promise<Line[]> => {
  const { text } = await fetchMonth(query, who);
  expect(text.endsWith("\n")).toBe(true);
  return text
    .split("\n")
    .slice(0, -1)
    .map((line) => JSON.parse(line) as Line);
};
const rowsOf = async (query: object): Promise<Record<string, string>[]> => {
  const { text } = await fetchMonth({ ...query, format: "csv" });
  return parse(text, { bom: true, columns: true, record_delimiter: "\r\n" });
};
const at = (instant: string) => app.context.clock.moveTo(instant);

beforeAll(async () => {
  await app.context.db.prisma.staff.update({ where: { staffNumber: "R001" }, data: { name: thai } });
  await app.context.db.prisma.staff.update({ where: { staffNumber: "M001" }, data: { name: cyrillic } });
  homeMachine = await addTestMachine(app, { mark: "HOME1" });
  farMachine = await addTestMachine(app, { mark: "FAR1", depotId: app.cast.farDepotId });
  await passTheTurnOfTheMonth();
  await findWhatIsInWords();
});

const check = async (who: string, machineId: string) =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
const idOf = async (answer: Promise<{ check: { id: string } }>): Promise<string> => (await answer).check.id;

/** A check each before and after midnight at both depots, and the policy changed in the hour in which only London has April. */
async function passTheTurnOfTheMonth(): Promise<void> {
  // London went to summer time on 29 March 2026 and went back on 25 October (IANA time zone data); Ho Chi Minh City stands at +07:00.
  at("2026-03-31T16:59:59.999Z");
  turn.lastInFarMarch = await idOf(check("R101", farMachine));
  at("2026-03-31T17:00:00.000Z");
  turn.firstInFarApril = await idOf(check("R101", farMachine));
  at("2026-03-31T22:59:59.999Z");
  turn.lastInHomeMarch = await idOf(check("R001", homeMachine));
  at("2026-03-31T23:00:00.000Z");
  turn.firstInHomeApril = await idOf(check("R001", homeMachine));
  at("2026-03-31T23:30:00.000Z");
  await expectAnswer((await as("F001")).put("/v1/policy").send({ clearanceHours: 13 }), 200);
}

const notes = ["=1+1", "+1", "-1", "@x", '=HYPERLINK("http://192.0.2.1","x")', "\uff1d1+1"];

/** A defect through its course, and defects in words that a spreadsheet could take for formulas. */
async function findWhatIsInWords(): Promise<void> {
  at("2026-04-01T06:00:00.000Z");
  await throughItsCourse(app, as, homeMachine, "horn.weak");
  for (const note of notes) {
    app.context.clock.advance(60_000);
    await expectAnswer(
      (await as("R001"))
        .post("/v1/defects")
        .send({ id: crypto.randomUUID(), machineId: homeMachine, seenAt: app.context.clock.now().toISOString(), note }),
      201,
    );
  }
  const open = await expectAnswer((await as("M001")).get("/v1/defects").query({ status: "open", machineId: homeMachine }), 200);
  await expectAnswer(
    (await as("M001"))
      .post(`/v1/defects/${open.items[0].id}/repairs`)
      .send(repairOf(app, { workDone: "=cmd, \u201cquoted\u201d\nsecond line\n=1+1" })),
    201,
  );
}

describe("which entries a month has", () => {
  test("is decided by the wall calendar of the entry's depot, summer time and all", async () => {
    const { lastInFarMarch, firstInFarApril, lastInHomeMarch, firstInHomeApril } = turn;
    const ids = async (query: object) => (await linesOf(query)).map(({ id }) => id);
    const march = await ids({ month: "2026-03" });
    expect(march).toEqual(expect.arrayContaining([lastInFarMarch, lastInHomeMarch]));
    const april = await ids({ month: "2026-04" });
    expect(april).toEqual(expect.arrayContaining([firstInFarApril, firstInHomeApril]));
    for (const id of [lastInFarMarch, lastInHomeMarch]) expect(april).not.toContain(id);
    for (const id of [firstInFarApril, firstInHomeApril]) expect(march).not.toContain(id);
    const home = await ids({ month: "2026-03", depotId: app.cast.homeDepotId });
    expect(home).toContain(lastInHomeMarch);
    expect(home).not.toContain(lastInFarMarch);
  });

  test("of no depot follows the depot asked for, and UTC where several are asked for", async () => {
    const has = async (query: object) => (await linesOf(query)).some(({ kind }) => kind === "policy-changed");
    expect(await has({ month: "2026-03" })).toBe(true);
    expect(await has({ month: "2026-03", depotId: app.cast.homeDepotId })).toBe(false);
    expect(await has({ month: "2026-04", depotId: app.cast.homeDepotId })).toBe(true);
    expect(await has({ month: "2026-04", depotId: app.cast.farDepotId })).toBe(true);
  });

  test("is every entry of the store, each in one month, in the order of arrival", async () => {
    const [march, april] = [await linesOf({ month: "2026-03" }), await linesOf({ month: "2026-04" })];
    const all = await app.context.db.rows<{ id: string }>("SELECT id FROM ledger");
    // Taking April is itself an entry, written before April is read.
    expect([...march, ...april]).toHaveLength(all.length);
    expect(new Set([...march, ...april].map(({ id }) => id))).toEqual(new Set(all.map(({ id }) => id)));
    const arrivals = march.map(({ recordedAt }) => String(recordedAt));
    expect(arrivals).toEqual([...arrivals].sort());
  });
});

describe("what is asked wrongly", () => {
  const refused = async (who: string, query: object, status: number, code: string) =>
    expectAnswer((await as(who)).get("/v1/records").query(query), status, code);
  test("is a month that is still to come, no month, an unknown format or field", async () => {
    const future = await refused("A001", { month: "2026-05" }, 422, "period-not-valid");
    expect(future.issues).toEqual([{ pointer: "/query/month", message: "is still to come: today is 2026-04-01" }]);
    for (const query of [{}, { month: "2026-13" }, { month: "2026" }, { month: "2026-03", format: "xml" }, { month: "2026-03", to: "1" }])
      await refused("A001", query, 422, "not-valid");
  });
  test("is a depot that there is not, or that is not the asker's", async () => {
    await refused("A001", { month: "2026-03", depotId: homeMachine }, 404, "not-found");
    await refused("F101", { month: "2026-03", depotId: app.cast.homeDepotId }, 403, "other-depot");
    await refused("F101", { month: "2026-03", depotId: homeMachine }, 403, "other-depot");
  });
  test("is anything by a rider or a mechanic", async () => {
    for (const who of ["R001", "M001"]) await refused(who, { month: "2026-03" }, 403, "not-your-role");
  });
  test("a manager of one depot gets its entries and those of no depot", async () => {
    const depots = new Set((await linesOf({ month: "2026-03" }, "F101")).map(({ depotId }) => depotId));
    expect(depots).toEqual(new Set([app.cast.farDepotId, null]));
  });
  test("a month without an entry is an empty file", async () => {
    expect((await fetchMonth({ month: "2025-12" })).text).toBe("");
    expect(await rowsOf({ month: "2025-12" })).toEqual([]);
  });
});

describe("a line", () => {
  test("is canonical, and both of its hashes follow from the line alone", async () => {
    const { text, headers } = await fetchMonth({ month: "2026-04" });
    expect(headers).toMatchObject({
      "content-type": "application/x-ndjson; charset=utf-8",
      "content-disposition": 'attachment; filename="records-All-depots-2026-04.ndjson"',
      "cache-control": "no-store",
    });
    const raw = text.split("\n").slice(0, -1);
    expect(raw.length).toBeGreaterThan(5);
    for (const one of raw) {
      expect(canonicalised(JSON.parse(one))).toBe(one);
      mustHold(JSON.parse(one) as Line);
    }
  });
  test("names the hash of the entry before it in its chain, in whatever month that was", async () => {
    const lines = [...(await linesOf({ month: "2026-03" })), ...(await linesOf({ month: "2026-04" }))];
    const before = new Map(lines.map(({ chainId, position, sha256 }) => [`${chainId}/${position}`, sha256]));
    for (const { chainId, position, previousSha256 } of lines)
      expect(previousSha256).toBe(before.get(`${chainId}/${position - 1}`) ?? null);
  });
  test("that was changed by one character no longer holds", async () => {
    const [line] = await linesOf({ month: "2026-03" });
    if (!line) throw new Error("March has entries");
    expect(() => mustHold({ ...line, recordedAt: "2026-03-28T06:00:00.001Z" })).toThrow();
    expect(() => mustHold({ ...line, data: { ...(line["data"] as object), odd: true } })).toThrow();
  });
  test("of an entry that was forgotten says nothing and keeps its hashes", async () => {
    const { recordLine } = await import("../../src/ledger/index.ts");
    const [line] = await linesOf({ month: "2026-03" });
    const moments = { performedAt: new Date(String(line?.["performedAt"])), recordedAt: new Date(String(line?.["recordedAt"])) };
    const told = JSON.parse(recordLine({ ...(line as never as Parameters<typeof recordLine>[0]), ...moments, data: null, salt: null }));
    expect(told).toEqual({ ...line, data: null, salt: null });
  });
});

describe("a row of the CSV file", () => {
  test("begins with a byte order mark, ends with CR LF, and no cell is a formula", async () => {
    const { text, headers } = await fetchMonth({ month: "2026-04", format: "csv" });
    expect(headers["content-type"]).toBe("text/csv; charset=utf-8; header=present");
    expect(headers["content-disposition"]).toContain("records-All-depots-2026-04.csv");
    expect(text.startsWith("\ufeffrecordedAt,performedAt,kind,sentence,machine,staffNumber,name,depot,what,sha256,id\r\n")).toBe(true);
    expect(text.endsWith("\r\n")).toBe(true);
    const cells = parse(text, { bom: true, record_delimiter: "\r\n" }).flat() as string[];
    expect(cells.filter((cell) => /^[=+\-@\t\r\uff0b\uff0d\uff1d\uff20]/.test(cell))).toEqual([]);
    expect(cells.some((cell) => cell.startsWith("'=cmd"))).toBe(true);
    // Words alone stand behind what they are about, in quotes.
    expect(cells.some((cell) => cell.includes("\u201c=HYPERLINK"))).toBe(true);
  });
  test("says who, on what, where and what in short, in any script", async () => {
    const rows = await rowsOf({ month: "2026-04", depotId: app.cast.homeDepotId });
    const check = rows.find(({ kind }) => kind === "daily-check");
    expect(check).toMatchObject({
      ...{ machine: "HOME1", staffNumber: "R001", name: thai, depot: "Home", sentence: "A daily check was made" },
      what: "1000 km, nothing found, cleared to ride",
    });
    expect(rows.find(({ kind }) => kind === "defect-repaired")).toMatchObject({ staffNumber: "M001", name: cyrillic });
    expect(rows.find(({ kind }) => kind === "policy-changed")).toMatchObject({ what: "clearanceHours: from 14 to 13", depot: "" });
    // Taking a month is itself an entry of the firm, so the second answer has one more.
    const hashes = (all: readonly { readonly kind?: unknown; readonly sha256?: unknown }[]) =>
      all.filter(({ kind }) => kind !== "report-taken").map(({ sha256 }) => sha256);
    expect(hashes(rows)).toEqual(hashes(await linesOf({ month: "2026-04", depotId: app.cast.homeDepotId })));
  });
  let aLine: Promise<Line | undefined> | undefined;
  /** The file of one row whose texts are these: such a text passes no contract of today; the file must not rely on that. */
  async function fileSaying(text: string): Promise<string> {
    const { recordFile } = await import("../../src/reports/month/record-file.ts");
    // Read once: a file is heavy, and only some may be under way at once.
    aLine ??= linesOf({ month: "2026-03" }).then(([line]) => line);
    const row = { ...(await aLine), kind: "machine-withdrawn", data: { reason: text } } as never;
    const dated = { ...(row as object), performedAt: new Date(0), recordedAt: new Date(0), machineMark: text, staffName: text };
    async function* batches() {
      yield [dated as never];
    }
    let file = "";
    for await (const piece of recordFile("csv", batches(), (id) => id, "en")) file += piece;
    return file;
  }
  test.each(["\t1", "\r1", "=1", "+1", "-1", "@1", " =1", "\u3000\uff1d1"])("that begins with %j is told as text", async (text) => {
    const [, cells] = parse(await fileSaying(text), { bom: true, record_delimiter: "\r\n" }) as string[][];
    for (const column of [4, 6, 8]) expect(cells?.[column]).toBe(`'${text}`);
  });

  const breaks = ["\n", "\r\n", "\r", "\n\n ", "\u2028", "\u2029", "\u0085", "\v", "\f", ";", "; ", "\t", "|"];
  const hostile = breaks.flatMap((gap) => ["=1+1", "+1", "-1", "@x", "\uff1d1"].map((formula) => `It is well${gap}${formula}, "quoted"`));
  const formula = /^\s*[=+\-@\uff0b\uff0d\uff1d\uff20]/;

  test.each(hostile)("that says %j begins no formula of its own, however a program ends rows and cells", async (text) => {
    const [head, row, ...more] = parse(await fileSaying(text), { bom: true, record_delimiter: "\r\n" }) as string[][];
    expect([head?.length, row?.length, more]).toEqual([11, 11, []]);
    for (const column of [4, 6, 8]) expect(row?.[column]?.replaceAll("'", "")).toBe(text);
    // Quotation marks heeded or not: a program that knows only the separators of its own country.
    for (const line of (await fileSaying(text)).split(/[\n\r\v\f\u0085\u2028\u2029]/)) {
      for (const cell of line.split(/[;\t|]/)) expect(cell.replace(/^"/, "")).not.toMatch(formula);
    }
  });

  test.skipIf(!hasPython())("stays one row for a reader that is not ours and ends rows at a bare line feed", async () => {
    const files = await Promise.all(hostile.map(fileSaying));
    const whole = files.map((file, index) => (index === 0 ? file : file.slice(file.indexOf("\r\n") + 2))).join("");
    const read = [
      "import csv, io, json, sys",
      "text = sys.stdin.buffer.read().decode('utf-8-sig')",
      "print(json.dumps(list(csv.reader(io.StringIO(text, newline='')))))",
    ].join("\n");
    const rows: string[][] = JSON.parse(execFileSync("python3", ["-c", read], { input: whole, encoding: "utf8" }));
    expect(rows.map((cells) => cells.length)).toEqual(Array.from({ length: hostile.length + 1 }, () => 11));
    for (const cell of rows.flat()) for (const part of cell.split(/[\n\r]/)) expect(part).not.toMatch(formula);
  });

  test("keeps a note's line breaks, in quotes, with what would be a formula after them as text", async () => {
    const rows = await rowsOf({ month: "2026-04", depotId: app.cast.homeDepotId });
    expect(rows.map(({ what }) => what)).toContainEqual(expect.stringContaining("second line\n'=1+1"));
  });
});

test("whoever takes a month out of the records is on record", async () => {
  await fetchMonth({ month: "2026-03", format: "csv", depotId: app.cast.farDepotId });
  const last = (await linesOf({ month: "2026-04" })).filter(({ kind }) => kind === "report-taken").at(-2);
  expect(last).toMatchObject({
    ...{ staffId: app.cast.staffId("A001"), depotId: app.cast.farDepotId },
    data: { paper: "month-records", from: "2026-03-01", to: "2026-03-31" },
  });
});
