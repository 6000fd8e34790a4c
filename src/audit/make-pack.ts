// Writes an audit pack: a ZIP that is made and hashed in one pass, part after part, at constant memory.
import { createHash } from "node:crypto";
import { PassThrough, Readable, Transform, type Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { ZipFile } from "yazl";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { word } from "../../shared/words/index.ts";
import {
  askAt,
  canonical,
  checkpointsWithin,
  consistencyOf,
  hashesOf,
  partsAround,
  publishedKeys,
  signClaim,
  takeCheckpoint,
} from "../ledger/index.ts";
import { keptPicture } from "../photos/index.ts";
import type { House } from "../platform/index.ts";
import { calledIn, countSealed, drawMonth, monthScope, recordFile, type SealedRow, sealedOfMonth } from "../reports/index.ts";
import { type Manifest, type ManifestFile, packFormat, photoFile, photosNamed } from "./pack-format.ts";
import { type Ended, namesOfPack } from "./store.ts";

/** What a pack is about. */
export type PackAbout = Pick<AuditPack, "id" | "month" | "depotId" | "photos" | "requestedBy">;

/** Told after each stretch of work, with the share that is done; a throw ends the work. */
export type Progress = (share: number) => Promise<void>;

/** Makes the pack into `out`, which is ended. Throws what the disk, the database or `progress` throw; then `out` holds nothing of use. */
export async function makePack(house: House, about: PackAbout, out: Writable, progress: Progress): Promise<Ended> {
  const checkpoint = await takeCheckpoint(house);
  if (!checkpoint) throw new Error("a pack is of a firm");
  const zip = new Zip(out, house.clock.now());
  const records = new RecordCount();
  const scope = await monthScope(house, { month: about.month, depotIds: about.depotId === null ? null : [about.depotId] });
  const month = () => sealedOfMonth(house.db, scope, checkpoint.treeSize);
  const expected = Math.max(1, await countSealed(house.db, scope, checkpoint.treeSize));
  const share = (from: number, to: number, done: number) => progress(from + (to - from) * Math.min(1, done / expected));
  const called = await calledIn(house.db);
  const counted = told(month(), (rows) => {
    for (const row of rows) records.take(row);
    return share(0, 0.2, records.leaves.length);
  });
  await zip.add("records.ndjson", recordFile("ndjson", counted, called, "en"));
  await zip.add("tree.ndjson", treeLines(house, records, checkpoint));
  let written = 0;
  const listed = told(month(), (rows) => {
    written += rows.length;
    return share(0.3, 0.5, written);
  });
  await zip.add("records.csv", recordFile("csv", listed, called, "en"));
  await zip.add(
    "month.pdf",
    told(drawMonth(house, scope), () => progress(0.5)),
  );
  await progress(0.8);
  const photos = about.photos ? await addPhotos(house, zip, records.photos, (done) => progress(0.8 + 0.1 * done)) : null;
  await progress(0.9);
  await zip.add("checkpoints.ndjson", checkpointLines(house, about.month, checkpoint));
  await zip.add("keys.json", [canonical(await publishedKeys(house.db))]);
  const names = await namesOfPack(house.db, about.depotId);
  const madeAt = house.clock.now().toISOString();
  const counts = records.counts;
  await zip.add("read-me.txt", [readMe(about, names, madeAt, counts.records, photos), "\n"]);
  const manifest: Manifest = {
    format: packFormat,
    ...{ packId: about.id, firmId: names.firmId, month: about.month, depotId: about.depotId, requestedBy: about.requestedBy, madeAt },
    ...{ checkpoint: checkpoint.number, ...counts, files: zip.files },
  };
  await zip.add("manifest.jws", [(await signClaim(house.db, "pack", manifest)).jws]);
  await zip.add("manifest.json", [canonical(manifest)]);
  const { bytes, sha256 } = await zip.end();
  return { counts, checkpoint: checkpoint.number, bytes, sha256 };
}

/** Each photo that the records name, once; those whose bytes are gone or altered are left out. */
async function addPhotos(house: House, zip: Zip, named: ReadonlySet<string>, progress: Progress): Promise<PhotosAdded> {
  let added = 0;
  let looked = 0;
  for (const sha256 of named) {
    const picture = await keptPicture(house, sha256);
    if (picture) {
      await zip.add(photoFile(sha256, picture.type), [picture.bytes]);
      added += 1;
    }
    looked += 1;
    await progress(looked / named.size);
  }
  return { named: named.size, added };
}

interface PhotosAdded {
  readonly named: number;
  readonly added: number;
}

/** A ZIP on its way out, hashed as it goes; part after part, so that only one is open. */
class Zip {
  readonly #zip = new ZipFile();
  readonly #hash = createHash("sha256");
  readonly #files: ManifestFile[] = [];
  readonly #written: Promise<void>;
  readonly #at: Date;
  #bytes = 0;

  constructor(out: Writable, at: Date) {
    this.#at = at;
    const meter = new Transform({
      transform: (chunk: Buffer, _encoding, done) => {
        this.#hash.update(chunk);
        this.#bytes += chunk.length;
        done(null, chunk);
      },
    });
    this.#written = pipeline(this.#zip.outputStream, meter, out);
    // Whoever adds the next part hears of it there.
    this.#written.catch(() => undefined);
  }

  /** All parts so far, with length and hash. */
  get files(): ManifestFile[] {
    return [...this.#files];
  }

  /** Adds a part of text or bytes; done when all of it went through. */
  async add(name: string, content: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>): Promise<void> {
    const hash = createHash("sha256");
    let bytes = 0;
    const through = new PassThrough();
    const counted = new Transform({
      writableObjectMode: true,
      transform: (chunk: string | Uint8Array, _encoding, done) => {
        const held = typeof chunk === "string" ? Buffer.from(chunk, "utf8") : chunk;
        hash.update(held);
        bytes += held.length;
        done(null, held);
      },
    });
    this.#zip.addReadStream(through, name, { mtime: this.#at, forceDosTimestamp: true, compress: !/\.(pdf|jpg|png|webp)$/.test(name) });
    // A disk that is full ends the ZIP; nobody would take what this part still has to give.
    const passed = pipeline(Readable.from(content), counted, through);
    await Promise.race([passed, this.#written]).catch((error: unknown) => {
      through.destroy();
      throw error;
    });
    this.#files.push({ name, bytes, sha256: hash.digest("hex") });
  }

  async end(): Promise<{ bytes: number; sha256: string }> {
    this.#zip.end();
    await this.#written;
    return { bytes: this.#bytes, sha256: this.#hash.digest("hex") };
  }
}

/** What has to be known of each record once the others are through: its leaf and its place in its chain. */
class RecordCount {
  readonly leaves: number[] = [];
  /** hashes of the photos that they name */
  readonly photos = new Set<string>();
  readonly #chains = new Map<string, { last: number; gaps: number }>();

  take({ leafIndex, chainId, position, data }: SealedRow): void {
    this.leaves.push(leafIndex);
    for (const sha256 of photosNamed(data)) this.photos.add(sha256);
    const chain = this.#chains.get(chainId);
    this.#chains.set(chainId, { last: position, gaps: chain ? chain.gaps + position - chain.last - 1 : 0 });
  }

  get counts(): { records: number; chains: number; gaps: number } {
    const gaps = [...this.#chains.values()].reduce((sum, chain) => sum + chain.gaps, 0);
    return { records: this.leaves.length, chains: this.#chains.size, gaps };
  }
}

/** The same pieces, each told before the next is asked for. */
async function* told<T>(pieces: AsyncIterable<T>, tell: (piece: T) => Promise<void>): AsyncGenerator<T> {
  for await (const piece of pieces) {
    await tell(piece);
    yield piece;
  }
}

const batch = 1000;

async function* treeLines(house: House, records: RecordCount, { treeSize }: Checkpoint): AsyncGenerator<string> {
  const ask = askAt(house.db);
  for (const parts of batches(partsAround(records.leaves, treeSize), batch)) {
    const others = parts.filter((part) => !part.own);
    const ranges = others.map(({ level, index }) => ({ from: index * 2 ** level, to: (index + 1) * 2 ** level }));
    const hashOf = await hashesOf(ask, ranges);
    yield parts
      .map(({ level, index, own }) => `${canonical({ level, index, ...(own ? {} : { sha256: hashOf({ level, index }) }) })}\n`)
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

/** The checkpoints of the month and the one before it, each with its proof that the pack's continues it; the pack's own comes last. */
async function* checkpointLines(house: House, month: string, last: Checkpoint): AsyncGenerator<string> {
  const ask = askAt(house.db);
  const start = new Date(`${month}-01T00:00:00Z`);
  const end = new Date(Date.UTC(start.getUTCFullYear(), start.getUTCMonth() + 1, 1));
  const within = await checkpointsWithin(ask, new Date(start.getTime() - day), new Date(end.getTime() + day));
  for (const checkpoint of within.filter(({ number }) => number < last.number)) {
    yield `${canonical({ ...checkpoint, toLast: await consistencyOf(ask, checkpoint, last) })}\n`;
  }
  yield `${canonical({ ...last, toLast: [] })}\n`;
}

const readMe = (
  about: PackAbout,
  names: { firmName: string; depotName: string | null },
  madeAt: string,
  records: number,
  photos: PhotosAdded | null,
): string =>
  word("audit.read-me", "en", {
    photos: photos === null ? word("audit.photos.without") : word("audit.photos.with", "en", { ...photos }),
    ...{ month: about.month, firm: names.firmName, depot: names.depotName ?? word("audit.whole-firm"), pack: about.id, records },
    madeAt: madeAt.slice(0, 16).replace("T", " "),
    caution: word("caution.line"),
  });
