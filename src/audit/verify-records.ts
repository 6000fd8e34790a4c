// What a pack says of its records, line by line: each entry by itself, each chain, the tree, the checkpoints.
import { z } from "zod";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { sha256Schema } from "../../shared/contracts/records.ts";
import { word } from "../../shared/words/index.ts";
import { canonical, dataHash, entryHash, GrowingTree, leafHash, provesConsistency, readClaim } from "../ledger/index.ts";
import { count, Fault, parsed, utf8 } from "./fault.ts";
import { type Manifest, photosNamed } from "./pack-format.ts";

const recordSchema = z.strictObject({
  id: z.string(),
  chainId: z.string(),
  position: z.number().int().min(1),
  kind: z.string(),
  version: z.number().int(),
  machineId: z.string().nullable(),
  depotId: z.string().nullable(),
  staffId: z.string().nullable(),
  performedAt: z.string(),
  recordedAt: z.string(),
  dataSha256: sha256Schema,
  previousSha256: sha256Schema.nullable(),
  sha256: sha256Schema,
  salt: z.string().nullable(),
  data: z.record(z.string(), z.unknown()).nullable(),
});

/** The records in their order: each by itself, and each chain. */
export class Records {
  /** the leaves that they are */
  readonly leaves: string[] = [];
  /** hashes of the photos that they name */
  readonly photos = new Set<string>();
  readonly #chains = new Map<string, { position: number; sha256: string }>();
  #gaps = 0;

  get counts(): Pick<Manifest, "records" | "chains" | "gaps"> {
    return { records: this.leaves.length, chains: this.#chains.size, gaps: this.#gaps };
  }

  take(line: string, number: number): void {
    const record = parsed(`records.ndjson:${number}`, recordSchema, line);
    const { sha256, salt, data, previousSha256, performedAt, recordedAt, ...envelope } = record;
    const fault = (what: "form" | "data" | "hash" | "chain" | "again"): Fault =>
      new Fault("audit.why.record", { number, id: record.id, what: word(`audit.why.record.${what}`) });
    if (canonicalOrNull(record) !== line) throw fault("form");
    const forgotten = data === null && salt === null;
    if (!forgotten && (salt === null || data === null || dataHash(data, salt) !== record.dataSha256)) throw fault("data");
    const moments = { performedAt: new Date(performedAt), recordedAt: new Date(recordedAt) };
    if (Object.values(moments).some((moment) => Number.isNaN(moment.getTime()))) throw fault("form");
    if (entryHash({ ...envelope, ...moments }, previousSha256) !== sha256) throw fault("hash");
    const before = this.#chains.get(record.chainId);
    if (before && record.position <= before.position) throw fault("again");
    if ((record.position === 1) !== (previousSha256 === null)) throw fault("chain");
    if (before && record.position === before.position + 1 && previousSha256 !== before.sha256) throw fault("chain");
    if (before) this.#gaps += record.position - before.position - 1;
    this.#chains.set(record.chainId, { position: record.position, sha256 });
    for (const photo of photosNamed(data)) this.photos.add(photo);
    this.leaves.push(leafHash(Buffer.from(sha256, "hex")));
  }
}

function canonicalOrNull(value: unknown): string | null {
  try {
    return canonical(value);
  } catch {
    return null;
  }
}

const partSchema = z.strictObject({ level: count.max(62), index: count, sha256: sha256Schema.optional() });

/** The tree from left to right. */
export class Tree {
  readonly #tree = new GrowingTree();
  readonly #records: Records;
  #taken = 0;

  constructor(records: Records) {
    this.#records = records;
  }

  take(line: string, number: number): void {
    const { level, index, sha256 } = parsed(`tree.ndjson:${number}`, partSchema, line);
    const hash = sha256 ?? (level === 0 ? this.#records.leaves[this.#taken++] : undefined);
    if (hash === undefined || index * 2 ** level !== this.#tree.size) throw new Fault("audit.why.tree.line", { number });
    this.#tree.add(hash, undefined, level);
  }

  /** Size and root, with all records in it. */
  end(): { size: number; root: string } {
    if (this.#taken !== this.#records.leaves.length) throw new Fault("audit.why.tree");
    return { size: this.#tree.size, root: this.#tree.root };
  }
}

const checkpointSchema = z.strictObject({
  number: count.min(1),
  treeSize: count,
  rootSha256: sha256Schema,
  takenAt: z.string(),
  kid: z.string(),
  jws: z.string(),
  // Not there in a pack from before chains were stated, null in a checkpoint from before that.
  chainCount: count.nullable().default(null),
  chainsSha256: sha256Schema.nullable().default(null),
  toLast: z.array(sha256Schema),
});

/** The checkpoints: each as it was signed, and the last continuing all others. */
export class Checkpoints {
  readonly #held: z.infer<typeof checkpointSchema>[] = [];
  readonly #keys: PublicKeySet["keys"];
  readonly #firmId: string;

  constructor(keys: PublicKeySet["keys"], firmId: string) {
    this.#keys = keys;
    this.#firmId = firmId;
  }

  async take(line: string, at: number): Promise<void> {
    const name = `checkpoints.ndjson:${at}`;
    const checkpoint = parsed(name, checkpointSchema, line);
    const { number, treeSize, rootSha256, takenAt, kid, jws, chainCount, chainsSha256 } = checkpoint;
    const signed = await readClaim(this.#keys, "checkpoint", jws);
    if (!signed) throw new Fault("audit.why.signature", { name });
    const chains = chainCount === null && chainsSha256 === null ? {} : { chainCount, chainsSha256 };
    const claim = canonical({ firmId: this.#firmId, number, treeSize, rootSha256, takenAt, ...chains });
    if (utf8(name, signed.payload) !== claim || signed.kid !== kid) throw new Fault("audit.why.checkpoint", { number });
    this.#held.push(checkpoint);
  }

  mustEndIn(number: number, tree: { size: number; root: string }): void {
    const last = this.#held.at(-1);
    if (!last || last.number !== number) throw new Fault("audit.why.checkpoint", { number });
    if (last.treeSize !== tree.size || last.rootSha256 !== tree.root) throw new Fault("audit.why.tree");
    for (const { number: earlier, treeSize, rootSha256, toLast } of this.#held) {
      if (!provesConsistency(treeSize, rootSha256, last.treeSize, last.rootSha256, toLast)) {
        throw new Fault("audit.why.consistency", { number: earlier });
      }
    }
  }
}
