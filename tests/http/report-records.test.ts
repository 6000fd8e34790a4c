// A paper can be held against the records: the hashes that it prints are those of the records that it tells of, and of the newest checkpoint.
import { createHash } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { expectAnswer, throughItsCourse } from "../support/acts.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
let defectId: string;

beforeAll(async () => {
  machineId = await addTestMachine(app);
  defectId = await throughItsCourse(app, as, machineId, "horn.silent");
});

/** Without a blank: a hash that is printed in groups may break anywhere. */
const whole = (text: string): string => text.replaceAll(/\s/g, "");

const paper = async (path: string, query: object = {}): Promise<string> => whole((await reportAt(await as("A001"), path, query)).read.text);

const proofOf = async (id: string) => expectAnswer((await as("A001")).get(`/v1/records/${id}/proof`), 200);
const chain = (): Promise<{ id: string; recordedAt: Date }[]> =>
  app.context.db.rows(`SELECT id, recorded_at AS "recordedAt" FROM ledger WHERE chain_id = $1 ORDER BY position`, [machineId]);

test("the report of a defect prints its first and its last record with the hash that their proofs have, and how to check that", async () => {
  const text = await paper(`/v1/defects/${defectId}/report.pdf`);
  const signOff = (await chain()).at(-1)?.id ?? "";
  for (const id of [defectId, signOff]) {
    const { sha256, entry } = await proofOf(id);
    expect(text).toContain(whole(`${id}, no. ${entry.position} of its machine, SHA-256 ${sha256}`));
  }
  expect(text).toContain(whole("in records.ndjson of an audit pack of the month in which it arrived"));
});

test("the paper of a machine prints the last record of its chain, and of a past moment the last one then", async () => {
  const records = await chain();
  const path = `/v1/machines/${machineId}/roadworthiness.pdf`;
  const last = await proofOf(records.at(-1)?.id ?? "");
  expect(await paper(path)).toContain(whole(`${last.entry.id}, no. ${records.length}, `));
  expect(await paper(path)).toContain(last.sha256);
  const earlier = records[1];
  const at = new Date(earlier?.recordedAt ?? 0);
  const then = records.findLastIndex(({ recordedAt }) => new Date(recordedAt) <= at);
  const text = await paper(path, { at: at.toISOString() });
  expect(text).toContain((await proofOf(records[then]?.id ?? "")).sha256);
  expect(text).not.toContain(last.sha256);
});

test("the paper of a month prints the newest checkpoint: its number, its size, and the SHA-256 of what is signed", async () => {
  const drawn = async (): Promise<string> => {
    const chunks: Buffer[] = [];
    for await (const chunk of drawMonth(app.context, await monthScope(app.context, { month: "2026-07", depotIds: null }))) {
      chunks.push(chunk as Buffer);
    }
    return whole((await readPdf(Buffer.concat(chunks))).text);
  };
  app.context.clock.advance(1000);
  const checkpoint = await takeCheckpoint(app.context);
  const sha256 = createHash("sha256")
    .update(checkpoint?.jws ?? "")
    .digest("hex");
  expect(await drawn()).toContain(whole(`covers ${checkpoint?.treeSize} records`));
  expect(await drawn()).toContain(sha256);
  app.context.clock.advance(1000);
  await takeCheckpoint(app.context);
  expect(await drawn()).not.toContain(sha256);
});
