// What a pack says of its records, line by line: each entry by itself, each chain, the tree, the checkpoints.
import { z } from "zod";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { sha256Schema } from "../../shared/contracts/records.ts";
import { word } from "../../shared/words/index.ts";
import { readClaim } from "../keys/index.ts";
import { dataHash, entryHash, GrowingTree, leafHash, provesConsistency } from "../ledger/index.ts";
import { canonical } from "../platform/index.ts";
import { canonicalOrNull, count, Fault, instant, parsed, utf8 } from "./fault.ts";
import { type Manifest, photosNamed } from "./pack-format.ts";
import { Rows } from "./verify-csv.ts";
import type { Month, ShownEnd } from "./verify-month.ts";
import type { NamesRead } from "./verify-names.ts";

const envelopeShape = {
  id: z.string(),
  chainId: z.string(),
  position: z.number().int().min(1),
  kind: z.string(),
  version: z.number().int(),
  machineId: z.string().nullable(),
  depotId: z.string().nullable(),
  staffId: z.string().nullable(),
  performedAt: instant,
  recordedAt: instant,
  dataSha256: sha256Schema,
  previousSha256: sha256Schema.nullable(),
  sha256: sha256Schema,
};
const neighbourSchema = z.strictObject(envelopeShape);
const recordSchema = z.strictObject({
  ...envelopeShape,
  salt: z.string().nullable(),
  data: z.record(z.string(), z.unknown()).nullable(),
});

// No firm may forget what a record says before 15 months are over (`leastMonths` in shared/rules/retention.ts): at least this many days, a few
// less because of calendars. What records say of a person who has left, and corrections of that, may be forgotten at their request.
const keptDays = 450;
const goneWithPeople: ReadonlySet<string> = new Set(["person-added", "person-amended", "person-left", "record-corrected"]);

type Envelope = z.infer<typeof neighbourSchema>;
type What = "form" | "data" | "hash" | "chain" | "again" | "month" | "depot" | "name" | "inside";

/** The records in their order, and their neighbours: each by itself, and each chain. */
export class Records {
  /** the leaves that the records are */
  readonly leaves: string[] = [];
  /** hashes of the photos that they name */
  readonly photos = new Set<string>();
  readonly rows: Rows;
  /** the leaves that the neighbours are, with where each stands in its file */
  readonly neighbours = new Map<string, { readonly id: string; readonly number: number }>();
  forgotten = 0;
  /** The youngest of the forgotten records that had to be kept for `keptDays`: when it arrived, and which it is. */
  #young: { readonly id: string; readonly number: number; readonly recordedAt: Date } | null = null;
  readonly #month: Month;
  readonly #names: NamesRead | null;
  /** of each chain the entries that are shown, in the order of their files */
  readonly #chains = new Map<string, { last: number; gaps: number; shown: Shown[] }>();

  constructor(month: Month, names: NamesRead | null) {
    this.#month = month;
    this.#names = names;
    this.rows = new Rows(names !== null);
  }

  get counts(): Pick<Manifest, "records" | "chains" | "gaps" | "neighbours"> {
    const chains = [...this.#chains.values()].filter(({ last }) => last > 0);
    const gaps = chains.reduce((sum, chain) => sum + chain.gaps, 0);
    return { records: this.leaves.length, chains: chains.length, gaps, neighbours: this.neighbours.size };
  }

  takeRecord(line: string, number: number): void {
    const record = parsed(`records.ndjson:${number}`, recordSchema, line);
    const { salt, data, ...envelope } = record;
    const fault = (what: What): Fault => faultOf("audit.why.record", envelope, number, what);
    if (canonicalOrNull(record) !== line) throw fault("form");
    const forgotten = data === null && salt === null;
    if (!forgotten && (salt === null || data === null || dataHash(data, salt) !== record.dataSha256)) throw fault("data");
    const recordedAt = mustBeItself(envelope, fault);
    const isIn = this.#month.isIn(record.depotId, recordedAt);
    if (isIn !== true) throw fault(isIn === null ? "depot" : "month");
    const chain = this.#chainOf(record.chainId);
    if (record.position <= chain.last) throw fault("again");
    if (chain.last > 0) chain.gaps += record.position - chain.last - 1;
    chain.last = record.position;
    this.#show(envelope, recordedAt);
    if (forgotten) this.#takeForgotten(envelope, number, recordedAt);
    for (const photo of photosNamed(data)) this.photos.add(photo);
    this.leaves.push(leafHash(Buffer.from(record.sha256, "hex")));
    const names = this.#names && {
      machine: this.#names.of(record.machineId, "machine"),
      person: this.#names.of(record.staffId, "person"),
      depot: this.#names.of(record.depotId, "depot"),
    };
    if (names && Object.values(names).some((name) => name === undefined)) throw fault("name");
    this.rows.expect(record, names);
  }

  takeNeighbour(line: string, number: number): void {
    const envelope = parsed(`neighbours.ndjson:${number}`, neighbourSchema, line);
    const fault = (what: What): Fault => faultOf("audit.why.neighbour", envelope, number, what);
    if (canonicalOrNull(envelope) !== line) throw fault("form");
    const recordedAt = mustBeItself(envelope, fault);
    const isIn = this.#month.isIn(envelope.depotId, recordedAt);
    const { from, to } = this.#month.coverage;
    if (isIn === true) throw fault("inside");
    if (isIn === null && recordedAt >= from && recordedAt < to) throw fault("depot");
    const leaf = leafHash(Buffer.from(envelope.sha256, "hex"));
    if (this.neighbours.has(leaf)) throw fault("again");
    this.neighbours.set(leaf, { id: envelope.id, number });
    this.#show(envelope, recordedAt);
  }

  /** The last entry of each chain that is shown. Throws a fault if an entry does not follow from the one before it. */
  ends(): Map<string, ShownEnd> {
    const ends = new Map<string, ShownEnd>();
    for (const [chainId, { shown }] of this.#chains) {
      shown.sort((one, other) => one.position - other.position);
      let before: Shown | null = null;
      for (const one of shown) {
        const fault = (what: What) => new Fault("audit.why.shown", { id: one.id, what: word(`audit.why.record.${what}`) });
        if (before?.position === one.position) throw fault("again");
        if (before?.position === one.position - 1 && one.previousSha256 !== before.sha256) throw fault("chain");
        before = one;
      }
      if (before) ends.set(chainId, before);
    }
    return ends;
  }

  /** Throws a fault if a record's words were forgotten by `takenAt` although it was too young for that. */
  mustBeOldEnough(takenAt: string): void {
    const young = this.#young;
    if (!young || young.recordedAt.getTime() + keptDays * 86_400_000 <= Date.parse(takenAt)) return;
    throw new Fault("audit.why.record", { number: young.number, id: young.id, what: word("audit.why.record.gone") });
  }

  #takeForgotten({ id, kind }: Envelope, number: number, recordedAt: Date): void {
    this.forgotten += 1;
    if (goneWithPeople.has(kind)) return;
    if (!this.#young || recordedAt > this.#young.recordedAt) this.#young = { id, number, recordedAt };
  }

  #chainOf(chainId: string) {
    const known = this.#chains.get(chainId);
    if (known) return known;
    const chain = { last: 0, gaps: 0, shown: [] };
    this.#chains.set(chainId, chain);
    return chain;
  }

  #show({ id, chainId, position, sha256, previousSha256 }: Envelope, recordedAt: Date): void {
    this.#chainOf(chainId).shown.push({ id, position, sha256, previousSha256 });
    this.#month.coverage.take(chainId, position, recordedAt);
  }
}

interface Shown extends ShownEnd {
  readonly id: string;
  readonly previousSha256: string | null;
}

const faultOf = (key: "audit.why.record" | "audit.why.neighbour", { id }: Envelope, number: number, what: What): Fault =>
  new Fault(key, { number, id, what: word(`audit.why.record.${what}`) });

/** When the entry arrived. Throws a fault if its hash is not the hash of its envelope. */
function mustBeItself({ sha256, previousSha256, ...envelope }: Envelope, fault: (what: What) => Fault): Date {
  const moments = { performedAt: new Date(envelope.performedAt), recordedAt: new Date(envelope.recordedAt) };
  if (entryHash({ ...envelope, ...moments }, previousSha256) !== sha256) throw fault("hash");
  if ((envelope.position === 1) !== (previousSha256 === null)) throw fault("chain");
  return moments.recordedAt;
}

const partSchema = z.strictObject({ level: count.max(62), index: count, sha256: sha256Schema.optional() });

/** The tree from left to right. */
export class Tree {
  readonly #tree = new GrowingTree();
  readonly #records: Records;
  #taken = 0;
  #beside = 0;

  constructor(records: Records) {
    this.#records = records;
  }

  take(line: string, number: number): void {
    const part = parsed(`tree.ndjson:${number}`, partSchema, line);
    const { level, index, sha256 } = part;
    if (canonicalOrNull(part) !== line) throw new Fault("audit.why.tree.line", { number });
    const hash = sha256 ?? (level === 0 ? this.#records.leaves[this.#taken++] : undefined);
    if (hash === undefined || index * 2 ** level !== this.#tree.size) throw new Fault("audit.why.tree.line", { number });
    const neighbour = level === 0 && sha256 !== undefined ? this.#records.neighbours.get(sha256) : undefined;
    if (neighbour) {
      // Neighbours stand in their file in the order of their leaves.
      this.#beside += 1;
      if (neighbour.number !== this.#beside) throw new Fault("audit.why.tree.line", { number });
    }
    this.#tree.add(hash, undefined, level);
  }

  /** Size and root, with all records and neighbours in it. */
  end(): { size: number; root: string } {
    if (this.#taken !== this.#records.leaves.length || this.#beside !== this.#records.neighbours.size) throw new Fault("audit.why.tree");
    return { size: this.#tree.size, root: this.#tree.root };
  }
}

const checkpointSchema = z.strictObject({
  number: count.min(1),
  treeSize: count,
  rootSha256: sha256Schema,
  takenAt: instant,
  kid: z.string(),
  jws: z.string(),
  // Null in a checkpoint that did not state the chains yet; a pack from that time may lack the member.
  chainCount: count.nullable().optional(),
  chainsSha256: sha256Schema.nullable().optional(),
  toLast: z.array(sha256Schema),
});
type Stated = "chainCount" | "chainsSha256";
export type CheckpointRead = Omit<z.infer<typeof checkpointSchema>, Stated> & {
  readonly chainCount: number | null;
  readonly chainsSha256: string | null;
};

/** The checkpoints: each has to be as it was signed, and the last has to continue all others. */
export class Checkpoints {
  readonly #held: CheckpointRead[] = [];
  readonly #keys: PublicKeySet["keys"];
  readonly #firmId: string;
  readonly #isFirst: boolean;

  /** `isFirst`: in a pack of the first format. */
  constructor(keys: PublicKeySet["keys"], firmId: string, isFirst: boolean) {
    this.#keys = keys;
    this.#firmId = firmId;
    this.#isFirst = isFirst;
  }

  async take(line: string, at: number): Promise<void> {
    const name = `checkpoints.ndjson:${at}`;
    const read = parsed(name, checkpointSchema, line);
    const { chainCount = null, chainsSha256 = null } = read;
    const checkpoint: CheckpointRead = { ...read, chainCount, chainsSha256 };
    const isWhole = this.#isFirst || (read.chainCount !== undefined && read.chainsSha256 !== undefined);
    if (canonicalOrNull(read) !== line || !isWhole) throw new Fault("audit.why.format", { name, what: "canonical JSON" });
    const { number, treeSize, rootSha256, takenAt, kid, jws } = checkpoint;
    const signed = await readClaim(this.#keys, "checkpoint", jws);
    if (!signed) throw new Fault("audit.why.signature", { name });
    const chains = chainCount === null && chainsSha256 === null ? {} : { chainCount, chainsSha256 };
    const claim = canonical({ firmId: this.#firmId, number, treeSize, rootSha256, takenAt, ...chains });
    if (utf8(name, signed.payload) !== claim || signed.kid !== kid) throw new Fault("audit.why.checkpoint", { number });
    this.#held.push(checkpoint);
  }

  /** Those that were read so far. */
  get read(): readonly CheckpointRead[] {
    return this.#held;
  }

  /** How many of them do not state the chains. */
  get withoutChains(): number {
    return this.#held.filter(({ chainsSha256 }) => chainsSha256 === null).length;
  }

  /** The last checkpoint. Throws a fault if it is not the pack's own, or not of this tree. */
  mustEndIn(number: number, tree: { size: number; root: string }): CheckpointRead {
    const last = this.#held.at(-1);
    if (!last || last.number !== number) throw new Fault("audit.why.checkpoint", { number });
    if (last.treeSize !== tree.size || last.rootSha256 !== tree.root) throw new Fault("audit.why.tree");
    let before: CheckpointRead | null = null;
    for (const one of this.#held) {
      if (before && (one.number <= before.number || one.treeSize < before.treeSize))
        throw new Fault("audit.why.checkpoint", { number: one.number });
      if (!provesConsistency(one.treeSize, one.rootSha256, last.treeSize, last.rootSha256, one.toLast)) {
        throw new Fault("audit.why.consistency", { number: one.number });
      }
      before = one;
    }
    return last;
  }
}
