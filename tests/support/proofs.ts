// Everything that forgetting must leave as it was: chains, checkpoints, and the machines' states against their records.
import { expect } from "vitest";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { type AppContext, compareAll } from "../../src/acts/index.ts";
import { entryHash, provesConsistency, takeCheckpoint } from "../../src/ledger/index.ts";
import { type As, expectAnswer } from "./acts.ts";
import type { TestDatabase } from "./checked-rows.ts";

interface Row {
  readonly id: string;
  readonly chainId: string;
  readonly position: number;
  readonly kind: "daily-check";
  readonly version: number;
  readonly machineId: string | null;
  readonly depotId: string | null;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly dataSha256: string;
  readonly sha256: string;
}

/** Recomputes the hash of every entry over the one before it in its chain, gaps not allowed. */
export async function expectWholeChains({ db }: { readonly db: TestDatabase }): Promise<void> {
  const rows = await db.rows<Row>(
    `SELECT id, chain_id AS "chainId", position, kind, version, machine_id AS "machineId", depot_id AS "depotId", staff_id AS "staffId",
       performed_at AS "performedAt", recorded_at AS "recordedAt", encode(data_sha256, 'hex') AS "dataSha256", encode(sha256, 'hex') AS sha256
     FROM ledger ORDER BY chain_id, position`,
  );
  let before: Row | null = null;
  for (const row of rows) {
    const previous: Row | null = before?.chainId === row.chainId ? before : null;
    expect(row.position).toBe((previous?.position ?? 0) + 1);
    const { sha256, ...envelope } = row;
    const moments = { performedAt: new Date(row.performedAt), recordedAt: new Date(row.recordedAt) };
    expect(entryHash({ ...envelope, ...moments }, previous?.sha256 ?? null)).toBe(sha256);
    before = row;
  }
}

/** Takes a checkpoint and proves that it continues an earlier one. */
export async function expectContinued(context: AppContext, as: As, earlier: Checkpoint): Promise<void> {
  const later = await takeCheckpoint(context);
  if (!later) throw new Error("the firm is founded");
  const { proof } = await expectAnswer(
    (await as("F001")).get("/v1/checkpoints/consistency").query({ earlier: earlier.number, later: later.number }),
    200,
  );
  expect(provesConsistency(earlier.treeSize, earlier.rootSha256, later.treeSize, later.rootSha256, proof)).toBe(true);
}

/** Every machine's state, its history and its defects agree with the records that still speak. */
export async function expectAgreement({ db }: AppContext): Promise<void> {
  for await (const { machineId, differences } of compareAll(db)) expect(differences, machineId).toEqual([]);
}
