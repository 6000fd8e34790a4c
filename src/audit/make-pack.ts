// Writes an audit pack: a ZIP, part after part. What records say is streamed and never held; of each record its leaf and its position stay in
// memory, since the tree, the neighbours and the names can only be written once all records were seen.
import type { Writable } from "node:stream";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import type { AppContext } from "../acts/index.ts";
import { publishedKeys, signClaim } from "../keys/index.ts";
import {
  checkpointsWithin,
  consistencyOf,
  envelopeLine,
  hashesOf,
  partsAround,
  type SealedChain,
  sealedChains,
  sha256,
  takeCheckpoint,
} from "../ledger/index.ts";
import { keptPicture } from "../photos/index.ts";
import { canonical } from "../platform/index.ts";
import {
  checkpointOnReport,
  countSealed,
  drawMonth,
  type MonthScope,
  monthScope,
  recordFile,
  type SealedRow,
  sealedOfMonth,
} from "../reports/index.ts";
import { seeNow } from "../witness/index.ts";
import { Coverage, type SpanOfDepot } from "./coverage.ts";
import { Names } from "./names.ts";
import { type Manifest, packFormat, photoFile, photosNamed } from "./pack-format.ts";
import { schemaFile, schemaLines, shapeOf } from "./pack-schemas.ts";
import { type Around, type Neighbour, namesAt, neighboursOf } from "./pack-store.ts";
import { Zip } from "./pack-zip.ts";
import { type PackAbout, type PhotosAdded, readMe } from "./read-me.ts";
import { type Ended, namesOfPack } from "./store.ts";
import { timeStampFile, timeStampLines } from "./time-stamps.ts";

/** Called after each stretch of work with the share that is done, 0 to 1; if it throws, the work ends. */
export type Progress = (share: number) => Promise<void>;

/** Makes the pack into `out`, which is ended. Throws what the disk, the database or `progress` throw; then `out` holds nothing of use. */
export async function makePack(context: AppContext, about: PackAbout, out: Writable, progress: Progress): Promise<Ended> {
  const checkpoint = await takeCheckpoint(context);
  if (!checkpoint) throw new Error("a pack is of a firm");
  const { treeSize } = checkpoint;
  const zip = new Zip(out, context.clock.now());
  const scope = await monthScope(context, { month: about.month, depotIds: about.depotId === null ? null : [about.depotId] });
  const spans = spansOf(scope);
  const names = new Names(await namesAt(context.db, earlier(scope.spans.firm.ends, new Date(checkpoint.takenAt))));
  const records = new RecordCount(names, spans);
  const month = () => sealedOfMonth(context.db, scope, treeSize);
  const expected = Math.max(1, await countSealed(context.db, scope, treeSize));
  const share = (from: number, to: number, done: number) => progress(from + (to - from) * Math.min(1, done / expected));
  const counted = told(month(), (rows) => {
    for (const row of rows) records.take(row);
    return share(0, 0.2, records.leaves.length);
  });
  await zip.add("records.ndjson", recordFile("ndjson", counted, names.called, "en"));
  const chains = await sealedChains(context.db.rows, treeSize);
  const neighbours = about.depotId === null ? await findNeighbours(context, records, chains, { treeSize, spans }) : null;
  await zip.add("neighbours.ndjson", neighbours === null ? [] : neighbourLines(neighboursOf(context.db, neighbours.around), names));
  await progress(0.25);
  await zip.add("tree.ndjson", treeLines(context, records.leaves, neighbours?.leaves ?? [], treeSize));
  await zip.add("chains.ndjson", [chainLines(chains, records, about.depotId === null, checkpoint)]);
  if (about.depotId === null) names.see(chains.map(({ chainId }) => chainId));
  await zip.add("names.ndjson", names.lines());
  let written = 0;
  const listed = told(month(), (rows) => {
    written += rows.length;
    return share(0.3, 0.5, written);
  });
  await zip.add("records.csv", recordFile("csv", asCalled(listed, names), names.called, "en"));
  await zip.add("month.pdf", told(drawMonth(context, withPrint(scope, checkpoint)), drawn(expected, 0.5, 0.8, progress)));
  await progress(0.8);
  const photos = about.photos ? await addPhotos(context, zip, records.photos, (done) => progress(0.8 + 0.15 * done)) : null;
  await progress(0.95);
  const within = await checkpointsOf(context, about.month, checkpoint);
  await zip.add("checkpoints.ndjson", checkpointLines(context, within, checkpoint));
  await seeNow(context, checkpoint);
  const stamps = await timeStampLines(context, within);
  if (stamps.length > 0) await zip.add(timeStampFile, stamps);
  const stamped = { stamps: stamps.length, checkpoints: within.length };
  await zip.add(schemaFile, schemaLines(records.shapes));
  await zip.add("keys.json", [canonical(await publishedKeys(context))]);
  const firm = await namesOfPack(context.db, about.depotId);
  const madeAt = context.clock.now().toISOString();
  const counts = { ...records.counts, neighbours: neighbours?.leaves.length ?? 0 };
  await zip.add("read-me.txt", [readMe(about, firm, { madeAt, ...counts, forgotten: records.forgotten, photos, ...stamped }), "\n"]);
  await progress(0.98);
  const manifest: Manifest = {
    format: packFormat,
    ...{ packId: about.id, firmId: firm.firmId, month: about.month, depotId: about.depotId, requestedBy: about.requestedBy, madeAt },
    spans: spans.map(({ starts, ends, ...span }) => ({ ...span, starts: starts.toISOString(), ends: ends.toISOString() })),
    ...{ checkpoint: checkpoint.number, ...counts, files: zip.files },
  };
  await zip.add("manifest.jws", [(await signClaim(context, "pack", manifest)).jws]);
  await zip.add("manifest.json", [canonical(manifest)]);
  const { bytes, sha256: zipSha256 } = await zip.end();
  return { counts: records.counts, checkpoint: checkpoint.number, bytes, sha256: zipSha256 };
}

/** The report in a pack carries the print of the pack's own checkpoint, even if there is a newer one by now. */
const withPrint = (scope: MonthScope, checkpoint: Checkpoint): MonthScope => ({
  ...scope,
  frame: { ...scope.frame, checkpoint: checkpointOnReport(checkpoint) },
});

const earlier = (one: Date, other: Date): Date => (one < other ? one : other);

type ZonedSpan = SpanOfDepot & { readonly timeZone: string };

/** The month by each calendar: first for what belongs to no depot, then for each depot, by id. */
function spansOf({ depots, spans }: MonthScope): ZonedSpan[] {
  const ofDepots = depots.flatMap(({ id, timeZone }) => {
    const span = spans.ofDepots.get(id);
    return span ? [{ depotId: id, timeZone, ...span }] : [];
  });
  const [only] = depots;
  const firm = { depotId: null, timeZone: only && depots.length === 1 ? only.timeZone : "UTC", ...spans.firm };
  return [firm, ...ofDepots.sort((one, other) => (one.depotId < other.depotId ? -1 : 1))];
}

// Bytes of the report for each record, and for its first pages: measured on months of a few hundred to some ten thousand records.
const [reportBytesOfRecord, leastReportBytes] = [110, 60_000];

/** Reports how far the drawing has come, by its bytes. The report's size is only an estimate, so the progress approaches `to` and never passes it. */
function drawn(records: number, from: number, to: number, progress: Progress): (piece: Uint8Array) => Promise<void> {
  const guessed = leastReportBytes + records * reportBytesOfRecord;
  let bytes = 0;
  return (piece) => {
    bytes += piece.length;
    return progress(from + (to - from) * (1 - Math.exp((-2 * bytes) / guessed)));
  };
}

/** Each photo that the records name, once; those whose bytes are gone or altered are left out. */
async function addPhotos(context: AppContext, zip: Zip, named: ReadonlySet<string>, progress: Progress): Promise<PhotosAdded> {
  let added = 0;
  let looked = 0;
  for (const hash of named) {
    const picture = await keptPicture(context, hash);
    if (picture) {
      await zip.add(photoFile(hash, picture.type), [picture.bytes]);
      added += 1;
    }
    looked += 1;
    await progress(looked / named.size);
  }
  return { named: named.size, added };
}

/** What has to be remembered of the records once all of them were seen: leaves, positions in their chains, and the ids and photos that they name. */
class RecordCount {
  readonly leaves: number[] = [];
  /** hashes of the photos that they name */
  readonly photos = new Set<string>();
  /** kinds and versions that they have */
  readonly shapes = new Set<string>();
  readonly coverage: Coverage;
  forgotten = 0;
  readonly #names: Names;
  readonly #chains = new Map<string, { last: number; gaps: number }>();

  constructor(names: Names, spans: readonly SpanOfDepot[]) {
    this.#names = names;
    this.coverage = new Coverage(spans);
  }

  take({ leafIndex, chainId, position, kind, version, machineId, depotId, staffId, recordedAt, data }: SealedRow): void {
    this.leaves.push(leafIndex);
    this.shapes.add(shapeOf({ kind, version }));
    this.coverage.take(chainId, position, recordedAt);
    if (data === null) this.forgotten += 1;
    this.#names.see([machineId, depotId, staffId, data]);
    for (const hash of photosNamed(data)) this.photos.add(hash);
    const chain = this.#chains.get(chainId);
    this.#chains.set(chainId, { last: position, gaps: chain ? chain.gaps + position - chain.last - 1 : 0 });
  }

  has(chainId: string): boolean {
    return this.#chains.has(chainId);
  }

  get counts(): { records: number; chains: number; gaps: number } {
    const gaps = [...this.#chains.values()].reduce((sum, chain) => sum + chain.gaps, 0);
    return { records: this.leaves.length, chains: this.#chains.size, gaps };
  }
}

/** The neighbours that have to be shown beside the records, to prove that none is left out. */
async function findNeighbours(
  context: AppContext,
  { coverage }: RecordCount,
  chains: readonly SealedChain[],
  { treeSize, spans }: Pick<Around, "treeSize" | "spans">,
): Promise<{ around: Around; leaves: number[] }> {
  const look = async (whole: readonly string[]) => {
    const around = { treeSize, spans, coverage, whole };
    const leaves: number[] = [];
    for await (const rows of neighboursOf(context.db, around)) {
      for (const { leafIndex, chainId, position, recordedAt } of rows) {
        leaves.push(leafIndex);
        coverage.take(chainId, position, new Date(recordedAt));
      }
    }
    return { around, leaves };
  };
  const found = await look([]);
  // If a clock jumped by more than the margin, these few neighbours are not enough: then the whole chain is shown.
  const open = chains.filter(({ chainId, length }) => coverage.missingIn(chainId, length) !== null);
  return open.length === 0 ? found : look(open.map(({ chainId }) => chainId));
}

async function* neighbourLines(batches: AsyncIterable<readonly Neighbour[]>, names: Names): AsyncGenerator<string> {
  for await (const rows of batches) {
    for (const { machineId, depotId, staffId } of rows) names.see([machineId, depotId, staffId]);
    yield rows.map((row) => `${envelopeLine(row)}\n`).join("");
  }
}

/** The list of chains that the checkpoint states, a line each; in a depot's pack, a chain without a record in it is shown by its hash alone. */
function chainLines(chains: readonly SealedChain[], records: RecordCount, all: boolean, { chainsSha256 }: Checkpoint): string {
  const lines = chains.map(({ chainId, length, sha256: last }) => canonical({ chainId, length, sha256: last }));
  const hashes = lines.map((line) => sha256(line));
  if (sha256(Buffer.from(hashes.join(""), "hex")) !== chainsSha256) throw new Error("the chains are not those that the checkpoint states");
  return chains.map(({ chainId }, at) => `${all || records.has(chainId) ? lines[at] : canonical({ lineSha256: hashes[at] })}\n`).join("");
}

/** The rows with the names that the pack lists. */
async function* asCalled(batches: AsyncIterable<readonly SealedRow[]>, names: Names): AsyncGenerator<readonly SealedRow[]> {
  for await (const rows of batches) {
    yield rows.map((row) => {
      const person = names.of(row.staffId);
      const [machine, depot] = [names.of(row.machineId), names.of(row.depotId)];
      return {
        ...row,
        ...{ machineMark: machine?.called ?? null, depotName: depot?.called ?? null },
        ...{ staffNumber: person?.number ?? null, staffName: person?.called ?? null },
      };
    });
  }
}

/** Passes the pieces on; `tell` is called with each of them first. */
async function* told<T>(pieces: AsyncIterable<T>, tell: (piece: T) => Promise<void>): AsyncGenerator<T> {
  for await (const piece of pieces) {
    await tell(piece);
    yield piece;
  }
}

const batch = 1000;

/** The nodes of the tree from left to right, around records and neighbours. A record's leaf has no hash here: it follows from the record. */
async function* treeLines(
  context: AppContext,
  records: readonly number[],
  neighbours: readonly number[],
  treeSize: number,
): AsyncGenerator<string> {
  const ask = context.db.rows;
  const besides = new Set(neighbours);
  const shown = [...records, ...neighbours].sort((one, other) => one - other);
  for (const parts of batches(partsAround(shown, treeSize), batch)) {
    const others = parts.filter(({ own, index }) => !own || besides.has(index));
    const ranges = others.map(({ level, index }) => ({ from: index * 2 ** level, to: (index + 1) * 2 ** level }));
    const hashOf = await hashesOf(ask, ranges);
    const isRecord = ({ own, index }: { own: boolean; index: number }) => own && !besides.has(index);
    yield parts
      .map((part) => ({ level: part.level, index: part.index, ...(isRecord(part) ? {} : { sha256: hashOf(part) }) }))
      .map((line) => `${canonical(line)}\n`)
      .join("");
  }
}

function* batches<T>(items: Iterable<T>, size: number): Generator<T[]> {
  let held: T[] = [];
  for (const item of items) {
    held.push(item);
    if (held.length < size) continue;
    yield held;
    held = [];
  }
  if (held.length > 0) yield held;
}

const day = 86_400_000;

/** The checkpoints of the month and the one before it; the pack's own comes last. */
async function checkpointsOf({ db }: AppContext, month: string, last: Checkpoint): Promise<Checkpoint[]> {
  const start = new Date(`${month}-01T00:00:00Z`);
  const end = new Date(Date.UTC(start.getUTCFullYear(), start.getUTCMonth() + 1, 1));
  const within = await checkpointsWithin(db.rows, new Date(start.getTime() - day), new Date(end.getTime() + day));
  return [...within.filter(({ number }) => number < last.number), last];
}

/** Each with its proof that the last one continues it. */
async function* checkpointLines(context: AppContext, checkpoints: readonly Checkpoint[], last: Checkpoint): AsyncGenerator<string> {
  const ask = context.db.rows;
  for (const checkpoint of checkpoints) {
    const toLast = checkpoint === last ? [] : await consistencyOf(ask, checkpoint, last);
    yield `${canonical({ ...checkpoint, toLast })}\n`;
  }
}
