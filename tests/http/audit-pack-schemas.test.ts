// The shapes of its records in a pack: whoever has nothing but the pack reads them by it, and a pack from before there were any is as good.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { expectAnswer, throughItsCourse } from "../support/acts.ts";
import { Forger } from "../support/forged-packs.ts";
import { validatorOf } from "../support/json-schema.ts";
import { type Files, hasPython, packOf, verifyElsewhere, zipOf } from "../support/packs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const service = testService();
const { app, as } = service;
let folder: string;
let pack: Files;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-schemas-"));
  const [one, other] = [await addTestMachine(app), await addTestMachine(app)];
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, one)), 201);
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, one)), 201);
  await throughItsCourse(app, as, one, "horn.silent");
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, other, "stop-lamp.out")), 201);
  pack = await packOf(service, { month: "2026-07" });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Shape {
  readonly kind: string;
  readonly version: number;
  readonly schema: object;
}
const shapes = () => new Forger(app, pack).lines<Shape>("schemas");
const records = () =>
  new Forger(app, pack).lines<{
    kind: string;
    version: number;
    data: unknown;
    id: string;
    chainId: string;
    position: number;
    sha256: string;
  }>("records");
const called = ({ kind, version }: { readonly kind: string; readonly version: number }): string => `${kind} ${version}`;

test("every record of a pack holds by its schema there, as a validator of others reads it", () => {
  const faultsOf = new Map(shapes().map((shape) => [called(shape), validatorOf(shape.schema)]));
  expect(faultsOf.size).toBeGreaterThan(8);
  for (const record of records()) {
    const faults = faultsOf.get(called(record));
    expect(faults?.(record.data), record.kind).toEqual([]);
    expect(faults?.({}), record.kind).not.toEqual([]);
  }
});

test("there is a schema for each kind and version that its records have, by their names, and for no other", () => {
  expect(shapes().map(called)).toEqual([...new Set(records().map(called))].sort());
});

test("a pack from before there were schemas holds, and one whose schemas were altered does not", async () => {
  const forger = new Forger(app, pack);
  forger.files.delete("schemas.ndjson");
  forger.manifest.files = forger.manifest.files.filter(({ name }) => name !== "schemas.ndjson");
  const before = await zipOf(folder, await forger.signed());
  expect(await verifyPack(before)).toMatchObject({ holds: true });
  const altered = await zipOf(folder, new Map(pack).set("schemas.ndjson", Buffer.from("{}\n")));
  expect(await verifyPack(altered)).toMatchObject({ holds: false, why: expect.stringContaining("schemas.ndjson") });
  if (!hasPython()) return;
  expect(await verifyElsewhere(before)).toMatchObject({ holds: true });
  expect(await verifyElsewhere(altered)).toMatchObject({ holds: false });
});
