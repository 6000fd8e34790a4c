import { beforeAll, expect, test } from "vitest";
import { readMachineFile } from "../../src/fleet/machine-file.ts";
import { chainOf, expectRefused, openSmallFleet, type SmallFleet } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let fleet: SmallFleet;
beforeAll(async () => {
  fleet = await openSmallFleet(app);
  await fleet.add("HERE 1");
});

const header = "registrationMark,model,depot,odometerKm,inServiceFrom,vin";
const file = (...rows: string[]): string => [header, ...rows].join("\n");
const send = (text: string, client = fleet.manager) => client.post("/v1/machines/import").set("content-type", "text/csv").send(text);
const refused = (text: string, pointers: readonly string[]) => expectRefused(app, () => send(text), 422, "import-refused", pointers);

test("a file is imported whole: each machine with its own chain, the firm with one entry", async () => {
  const { body } = await send(file("ab 1,Model A,Home,100,2026-07-01,", "ab-2,Model A,Far,200,2026-07-02,1M8GDM9AXKP042788")).expect(201);
  expect(body).toMatchObject({
    imported: 2,
    rows: [
      { row: 2, registrationMark: "AB1", warnings: [] },
      { row: 3, registrationMark: "AB2", warnings: [] },
    ],
  });
  const [first, second] = body.rows;
  expect((await fleet.auditor.get(`/v1/machines/${second.machineId}`)).body).toMatchObject({
    registrationMark: "AB2",
    vin: "1M8GDM9AXKP042788",
    modelName: "Model A",
    depotName: "Far",
    odometerKm: 200,
    inServiceFrom: "2026-07-02",
    standing: "inspection-overdue",
  });
  expect((await chainOf(app.context.db, first.machineId)).map(({ kind }) => kind)).toEqual(["machine-added"]);
  expect((await chainOf(app.context.db, null)).at(-1)).toEqual({
    kind: "machines-imported",
    staffId: app.cast.staffId("F001"),
    data: { imported: 2, machineIds: [first.machineId, second.machineId] },
  });
});

test("a number that looks made up is flagged at its row, and the machine is imported", async () => {
  const { body } = await send(file(`MU1,Model A,Home,100,2026-07-01,${"1".repeat(17)}`)).expect(201);
  expect(body.rows).toEqual([
    expect.objectContaining({
      row: 2,
      registrationMark: "MU1",
      warnings: [{ code: "vin-made-up", message: expect.stringMatching(/frame/) }],
    }),
  ]);
});

test("a file as a spreadsheet saves it: byte order mark, semicolons, Windows line ends, quotes, empty rows, columns in another order", async () => {
  const text = [
    "\uFEFFDepot;Model;registrationMark;odometerKm;inServiceFrom;;",
    '"Home";" Model A ";"sp;1";1;2026-07-01;;',
    ";;;;;;",
    "Home;Model A;SP2;2;2026-07-01;;",
    "",
  ].join("\r\n");
  await refused(text, ["/rows/2/registrationMark"]);
  const { body } = await send(text.replace("sp;1", "sp 1").replace(/\r\n$/, "")).expect(201);
  expect(body.rows.map(({ row, registrationMark }: { row: number; registrationMark: string }) => [row, registrationMark])).toEqual([
    [2, "SP1"],
    [4, "SP2"],
  ]);
});

test("every bad row is named at its field, and none of the good ones is kept", async () => {
  await refused(
    file(
      "GOOD1,Model A,Home,1,2026-07-01,",
      "BAD1,Model Z,Home,1,2026-07-01,",
      "BAD2,Model A,Nowhere,1,2026-07-01,",
      'BAD3,Model A,Home,"1,200",2026-07-01,',
      "BAD4,Model A,Home,-1,2026-07-01,",
      "BAD5,Model A,Home,2000001,2026-07-01,",
      "BAD6,Model A,Home,1,01/07/2026,",
      "BAD7,Model A,Home,1,2026-02-30,TOOSHORT",
      "good 1,Model A,Home,1,2026-07-01,",
      "here1,Model A,Home,1,2026-07-01,",
      ",,Home,,2026-07-01,",
      "BAD8,Model A,Home,1,2026-07-01,,extra",
      "A,Model A,Home,1,2026-07-01,",
    ),
    [
      "/rows/3/model",
      "/rows/4/depot",
      "/rows/5/odometerKm",
      "/rows/6/odometerKm",
      "/rows/7/odometerKm",
      "/rows/8/inServiceFrom",
      "/rows/9/inServiceFrom",
      "/rows/9/vin",
      "/rows/10/registrationMark",
      "/rows/12/registrationMark",
      "/rows/12/model",
      "/rows/12/odometerKm",
      "/rows/13",
      "/rows/14/registrationMark",
      "/rows/11/registrationMark",
    ],
  );
});

test.each([
  ["a missing column", "registrationMark,model,depot,inServiceFrom\nX1,Model A,Home,2026-07-01", ["/rows/1/odometerKm"]],
  ["a column that is none", `${header},colour\nX1,Model A,Home,1,2026-07-01,,red`, ["/rows/1/colour"]],
  ["a column twice", `${header},model\nX1,Model A,Home,1,2026-07-01,,Model A`, ["/rows/1/model"]],
  ["no row under the header", header, ["/"]],
  ["an open quotation mark", file('"X1,Model A,Home,1,2026-07-01,'), ["/"]],
  ["another encoding than UTF-8", file("X1,Mod\uFFFDl,Home,1,2026-07-01,"), ["/"]],
  ["more machines than a file may hold", file(...Array.from({ length: 10_001 }, (_, i) => `X${i},Model A,Home,1,2026-07-01,`)), ["/"]],
])("%s refuses the file", async (_what, text, pointers) => {
  await refused(text, pointers);
});

test.each([
  ["a megabyte of blank lines", `${header}${"\n".repeat(1024 * 1024)}`, "holds no machine"],
  ["a megabyte of rows of separators", `${header}\n${",\n".repeat(512 * 1024)}`, "holds more than 20000 rows"],
  ["a megabyte of columns", `${header}${",x".repeat(512 * 1024)}`, "has a first row of more than 100 cells"],
  // What comes after the limit is not read any more.
  [
    "too many machines before an open quotation mark",
    file(...Array.from({ length: 30_000 }, () => "X"), '"X'),
    "holds more than 10000 machines",
  ],
])("%s is refused as soon as it is known, in few words", async (_what, text, said) => {
  const { body } = await send(text).expect(422);
  expect(body.issues).toEqual([{ pointer: "/", message: expect.stringContaining(said) }]);
});

test("a long file leaves others their turn while it is read", async () => {
  const names = { models: new Map(), depots: new Map(), seesDepot: () => true };
  let turns = 0;
  let reading = true;
  const count = (): void => {
    turns += 1;
    if (reading) setImmediate(count);
  };
  setImmediate(count);
  // Whatever the place at which one piece ends and the next begins, no character is cut.
  const rows = Array.from({ length: 5000 }, (_, i) => `LONG${i},Model \u{1f3cd}${"a".repeat(i % 7)},Home,${i},2026-07-01,\ufffe`);
  const { issues } = await readMachineFile(file(...rows), names);
  reading = false;
  expect(issues.filter(({ message }) => message.includes("not in UTF-8"))).toEqual([]);
  expect(issues.length).toBe(15_000);
  expect(turns).toBeGreaterThan(100);
});

test("rows are counted as a spreadsheet counts them: blank ones too, and one with a line break in a cell once", async () => {
  const text = [header, "", 'A1,Model A,"Ho\nme",1,2026-07-01,', ",,,,,", "", "HERE1,Model A,Home,1,2026-07-01,"].join("\r\n");
  await refused(text, ["/rows/3/depot", "/rows/6/registrationMark"]);
});

test("what is no CSV, is empty or is too large is refused as such", async () => {
  const post = () => fleet.manager.post("/v1/machines/import");
  await expectRefused(app, () => post().send({ machines: [] }), 415, "wrong-media-type");
  await expectRefused(app, () => post().set("content-type", "application/json").send('"a,b"'), 415, "wrong-media-type");
  await expectRefused(app, () => post().set("content-type", "text/plain").send(header), 415, "wrong-media-type");
  await expectRefused(app, () => send("x".repeat(2 * 1024 * 1024 + 1)), 413, "too-large");
  await refused(" ", ["/rows/1/registrationMark", "/rows/1/model", "/rows/1/depot", "/rows/1/odometerKm", "/rows/1/inServiceFrom"]);
});

test("managers only, for their own depots only, and signed in", async () => {
  const text = file("NO1,Model A,Home,1,2026-07-01,");
  await expectRefused(app, () => send(text, app.anyone), 401, "not-signed-in");
  for (const client of [fleet.rider, fleet.mechanic, fleet.auditor])
    await expectRefused(app, () => send(text, client), 403, "not-your-role");
  await expectRefused(app, () => send(text, fleet.farManager), 422, "import-refused", ["/rows/2/depot"]);
});

test("the same file twice at the same moment is imported once", async () => {
  const text = file("ONCE1,Model A,Home,1,2026-07-01,", "ONCE2,Model A,Home,1,2026-07-01,");
  const answers = await Promise.all([send(text), send(text)]);
  expect(answers.map(({ status }) => status).sort((a, b) => a - b)).toEqual([201, 422]);
  const late = answers.find(({ status }) => status === 422);
  expect(late?.body.issues.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
    "/rows/2/registrationMark",
    "/rows/3/registrationMark",
  ]);
});

test("a fleet of thousands fits into one file", async () => {
  const rows = Array.from({ length: 5000 }, (_, i) => `BIG${i},Model A,${i % 2 ? "Home" : "Far"},${i},2026-07-01,`);
  const { body } = await send(file(...rows)).expect(201);
  expect(body.imported).toBe(5000);
  const [counted] = await app.context.db.rows<{ n: number }>(
    `SELECT count(*)::int AS n FROM machine m JOIN ledger l ON l.chain_id = m.id AND l.position = m.record_count
       JOIN machine_state_history h ON h.machine_id = m.id AND h.position = m.record_count AND h.state = m.state
     WHERE m.registration_mark LIKE 'BIG%'`,
  );
  expect(counted?.n).toBe(5000);

  // A list of one standing finds its machines however far apart they stand.
  const apart = ["BIG1", "BIG4321", "BIG999"];
  for (const [index] of rows.entries()) {
    const { registrationMark, machineId } = body.rows[index];
    if (apart.includes(registrationMark))
      await fleet.manager
        .patch(`/v1/machines/${machineId}`)
        .send({ withdrawn: { reason: "Sold" } })
        .expect(200);
  }
  const { body: list } = await fleet.auditor.get("/v1/machines?standing=withdrawn").expect(200);
  expect(list.items.map(({ registrationMark }: { registrationMark: string }) => registrationMark)).toEqual(apart);
  expect(list.nextCursor).toBeNull();
});
