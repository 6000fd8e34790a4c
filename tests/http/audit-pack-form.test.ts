// The form of a pack to the letter: what FORMAT.md does not allow is refused by the service's check and by the one in another language, also
// where it changes nothing that is said and is signed by the firm. Two checks that differ would leave an auditor with a pack that both is and is not.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { canonical } from "../../src/platform/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { Forger } from "../support/forged-packs.ts";
import { type Files, hasPython, packOf, verifyElsewhere, zipOf } from "../support/packs.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const service = testService();
const { app, as } = service;
let folder: string;
let pack: Files;
const elsewhere = hasPython();

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-form-"));
  const machineId = await addTestMachine(app);
  app.context.clock.moveTo("2026-08-03T08:00:00.000Z");
  // Readers of lines like to end one at either of these.
  const note = "wobbles\u2028a little\u2029\u0085when cold";
  await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak", { note })), 201);
  await takeCheckpoint(app.context);
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
  pack = await packOf(service, { month: "2026-08" });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function verdicts(files: Files) {
  const path = await zipOf(folder, files);
  const [here, there] = await Promise.all([verifyPack(path), elsewhere ? verifyElsewhere(path) : null]);
  return { here: here.holds || here.why, there: there && (there.holds || there.says) };
}

/** Changes the text of a file. */
const text = (forger: Forger, name: string, change: (before: string) => string): void => {
  forger.files.set(name, Buffer.from(change(forger.files.get(name)?.toString() ?? "")));
};
const manifestText = async (forger: Forger, change: (before: string) => string): Promise<Files> => {
  const files = await forger.signed();
  // Signed as it stands, which is not how the service signs.
  const payload = Buffer.from(change(files.get("manifest.json")?.toString() ?? ""));
  const [header] = (files.get("manifest.jws")?.toString() ?? "").split(".");
  const said = `${header}.${payload.toString("base64url")}`;
  const { key } = app.keys.signingAt(app.context.clock.now());
  const signature = await crypto.subtle.sign({ name: "ECDSA", hash: "SHA-256" }, key, Buffer.from(said));
  return files.set("manifest.json", payload).set("manifest.jws", Buffer.from(`${said}.${Buffer.from(signature).toString("base64url")}`));
};
const keyWith = (forger: Forger, more: object): void => {
  const { keys } = JSON.parse(forger.files.get("keys.json")?.toString() ?? "") as { keys: object[] };
  forger.files.set("keys.json", Buffer.from(canonical({ keys: keys.map((key) => ({ ...key, ...more })) })));
};
const addFile = (forger: Forger, name: string): void => {
  forger.files.set(name, Buffer.from("more"));
  forger.manifest.files.push({ name, bytes: 0, sha256: "" });
};
const lineFiles = ["records", "neighbours", "names", "tree", "chains", "checkpoints"] as const;
const first = <T extends object>(forger: Forger, name: string, change: (line: T) => object): void => {
  const [line, ...others] = forger.lines<T>(name);
  forger.put(name, [change(line as T), ...others]);
};

test("a pack whose words hold what other readers end a line at holds for both", async () => {
  expect(pack.get("records.ndjson")?.toString()).toContain("wobbles\u2028a little\u2029");
  expect(await verdicts(await new Forger(app, pack).signed())).toEqual({ here: true, there: elsewhere ? expect.anything() : null });
});

const altered: Readonly<Record<string, (forger: Forger) => unknown>> = {
  ...Object.fromEntries(
    lineFiles.flatMap((name) => [
      [`CRLF in ${name}.ndjson`, (forger: Forger) => text(forger, `${name}.ndjson`, (before) => before.replaceAll("\n", "\r\n"))],
      [`no end of the last line of ${name}.ndjson`, (forger: Forger) => text(forger, `${name}.ndjson`, (before) => before.slice(0, -1))],
      [`a blank in ${name}.ndjson`, (forger: Forger) => text(forger, `${name}.ndjson`, (before) => before.replace("{", "{ "))],
    ]),
  ),
  "an empty line in tree.ndjson": (forger) => text(forger, "tree.ndjson", (before) => `${before}\n`),
  "bytes that are no UTF-8 in a word that is replaced by what stands for them": (forger) => {
    const records = forger.files.get("records.ndjson") as Buffer;
    forger.files.set("records.ndjson", Buffer.from(records.toString("latin1").replace("wobbles", "wobble\xff"), "latin1"));
  },
  "the neighbours in another order": (forger) => forger.put("neighbours", forger.lines("neighbours").toReversed()),
  "an instant without milliseconds in a checkpoint": (forger) =>
    forger.signCheckpoint({ takenAt: `${forger.lines<{ takenAt: string }>("checkpoints").at(-1)?.takenAt.slice(0, 19)}Z` }),
  "a day that there is not in a checkpoint": (forger) => forger.signCheckpoint({ takenAt: "2026-02-30T08:00:00.000Z" }),
  "a checkpoint that leaves out what it would state of the chains": (forger) =>
    first(forger, "checkpoints", (line) => Object.fromEntries(Object.entries(line).filter(([name]) => !name.startsWith("chain")))),
  "a chain of no record": (forger) => forger.stateChains([...forger.lines("chains"), { chainId: "z", length: 0, sha256: "0".repeat(64) }]),
  "a person who is forgotten in words": (forger) => {
    const names = forger.lines<{ is: string }>("names");
    forger.put(
      "names",
      names.map((name) => (name.is === "person" ? { ...name, forgotten: "no" } : name)),
    );
  },
  "a count that is no number": (forger) => manifestText(forger, (before) => before.replace('"gaps":0', '"gaps":false')),
  "a manifest with a blank": (forger) => manifestText(forger, (before) => before.replace("{", "{ ")),
  "a manifest made at no instant": (forger) => void Object.assign(forger.manifest, { madeAt: "yesterday" }),
  "a span on an offset, which is no time zone": (forger) => {
    const [, span] = forger.manifest["spans"] as { timeZone: string; starts: string; ends: string }[];
    Object.assign(span ?? {}, { timeZone: "+01:00" });
  },
  "a file of the firm's own": (forger) => addFile(forger, "addendum.txt"),
  "a photo of another kind": (forger) => addFile(forger, `photos/${"0".repeat(64)}.gif`),
  "a photo in a folder below": (forger) => addFile(forger, `photos/more/${"0".repeat(64)}.jpg`),
  "a private key beside the public one": (forger) => keyWith(forger, { d: "A".repeat(43) }),
  "a key for something else": (forger) => keyWith(forger, { use: "enc" }),
  "a key that is called by another name": (forger) => keyWith(forger, { kid: "ours" }),
  "the key twice": (forger) =>
    text(forger, "keys.json", (before) => canonical({ keys: [...JSON.parse(before).keys, ...JSON.parse(before).keys] })),
  "a spreadsheet without its byte order mark": (forger) => text(forger, "records.csv", (before) => before.slice(1)),
  "a spreadsheet whose rows end with LF alone": (forger) => text(forger, "records.csv", (before) => before.replaceAll("\r\n", "\n")),
  "a spreadsheet whose rows end with CR alone": (forger) => text(forger, "records.csv", (before) => before.replaceAll("\r\n", "\r")),
  "a quote in the middle of a cell": (forger) => text(forger, "records.csv", (before) => before.replace(/(,[A-Z]\w+ )/, '$1"')),
  "a spreadsheet with bytes that are no UTF-8": (forger) => {
    const rows = forger.files.get("records.csv") as Buffer;
    forger.files.set("records.csv", Buffer.from(rows.toString("latin1").replace("wobbles", "\xff"), "latin1"));
  },
};

describe("both checks refuse, though the firm has signed it:", () => {
  for (const [name, alter] of Object.entries(altered)) {
    test(name, async () => {
      const forger = new Forger(app, pack);
      const done = await alter(forger);
      const { here, there } = await verdicts(done instanceof Map ? (done as Files) : await forger.signed());
      expect(here).toBeTypeOf("string");
      if (elsewhere) expect(there).toMatch(/^does not hold: /);
    });
  }
});
