// Packs as somebody would alter them who has the firm's key: what hangs on the alteration is made to fit, and everything is signed anew.
import { createHash } from "node:crypto";
import { signClaim } from "../../src/keys/index.ts";
import { leafHash, sha256 } from "../../src/ledger/index.ts";
import { canonical } from "../../src/platform/index.ts";
import type { TestApp } from "./app.ts";
import { type Files, linesOf } from "./packs.ts";

export type Line = Record<string, unknown> & {
  readonly id: string;
  readonly chainId: string;
  readonly position: number;
  readonly sha256: string;
};

/** A pack that is open on the forger's desk. */
export class Forger {
  readonly files: Files;
  readonly manifest: Record<string, unknown> & { files: { name: string; bytes: number; sha256: string }[] };
  readonly #app: TestApp;

  constructor(app: TestApp, files: Files) {
    this.#app = app;
    this.files = new Map(files);
    this.manifest = JSON.parse(files.get("manifest.json")?.toString() ?? "");
  }

  lines<T = Line>(name: string): T[] {
    return linesOf(this.files, `${name}.ndjson`).map((line) => JSON.parse(line) as T);
  }

  put(name: string, lines: readonly object[]): void {
    this.files.set(`${name}.ndjson`, Buffer.from(lines.map((line) => `${canonical(line)}\n`).join("")));
  }

  /** The rows of the CSV, its header the first, as they stand there. */
  get rows(): string[] {
    return (this.files.get("records.csv")?.toString() ?? "").split("\r\n").slice(0, -1);
  }

  setRows(rows: readonly string[]): void {
    this.files.set("records.csv", Buffer.from(rows.map((row) => `${row}\r\n`).join("")));
  }

  /** Puts another record in a record's place, in the spreadsheet too. */
  replace(at: number, change: (record: Line) => Line): void {
    const records = this.lines("records");
    const before = records[at] as Line;
    const after = change(before);
    this.put("records", [...records.slice(0, at), after, ...records.slice(at + 1)]);
    this.setRows(this.rows.map((row) => row.replace(before.sha256, after.sha256)));
  }

  /** Leaves records out so that list, spreadsheet, tree and counts agree; answers them. */
  leaveOut(which: (record: Line, index: number) => boolean): Line[] {
    const records = this.lines("records");
    const [, ...rows] = this.rows;
    const isOut = records.map(which);
    this.put(
      "records",
      records.filter((_, index) => !isOut[index]),
    );
    this.setRows([this.rows[0] ?? "", ...rows.filter((_, index) => !isOut[index])]);
    let at = -1;
    this.put(
      "tree",
      this.lines<object>("tree").map((part) => {
        if ("sha256" in part) return part;
        at += 1;
        return isOut[at] ? { ...part, sha256: leafHash(Buffer.from(records[at]?.sha256 ?? "", "hex")) } : part;
      }),
    );
    return records.filter((_, index) => isOut[index]);
  }

  /** Signs the last checkpoint anew, with these changes. */
  async signCheckpoint(changes: object): Promise<void> {
    const points = this.lines<Record<string, unknown>>("checkpoints");
    const last = { ...points.at(-1), ...changes } as Record<string, unknown>;
    const { kid: _kid, jws: _jws, toLast: _toLast, ...claim } = last;
    const signed = await signClaim(this.#app.context, "checkpoint", { firmId: this.manifest["firmId"], ...claim });
    this.put("checkpoints", [...points.slice(0, -1), { ...last, ...signed }]);
  }

  /** States another list of chains in the last checkpoint. */
  async stateChains(chains: readonly object[]): Promise<void> {
    this.put("chains", chains);
    const hashes = chains.map((chain) => sha256(canonical(chain))).join("");
    await this.signCheckpoint({ chainCount: chains.length, chainsSha256: sha256(Buffer.from(hashes, "hex")) });
  }

  /** The same as a pack of the first format, which knew neither spans nor neighbours. */
  async signedAsFirst(): Promise<Files> {
    const { spans: _, neighbours: __, ...first } = this.manifest;
    return this.signed({ ...first, format: "ferrule-audit-pack-1" });
  }

  /** The pack with a manifest that counts what is there, signed by the firm's key. */
  async signed(first: object | null = null): Promise<Files> {
    const records = this.lines("records");
    const last = new Map<string, number>();
    let gaps = 0;
    for (const { chainId, position } of records) {
      gaps += last.has(chainId) ? Math.max(0, position - (last.get(chainId) ?? 0) - 1) : 0;
      last.set(chainId, position);
    }
    const counts = { records: records.length, chains: last.size, gaps };
    Object.assign(this.manifest, { ...counts, neighbours: this.lines("neighbours").length });
    for (const file of this.manifest.files) {
      const content = this.files.get(file.name) ?? Buffer.of();
      Object.assign(file, { bytes: content.length, sha256: createHash("sha256").update(content).digest("hex") });
    }
    const manifest = first === null ? this.manifest : { ...first, ...counts, files: this.manifest.files };
    this.files.set("manifest.json", Buffer.from(canonical(manifest)));
    this.files.set("manifest.jws", Buffer.from((await signClaim(this.#app.context, "pack", manifest)).jws));
    return this.files;
  }
}
