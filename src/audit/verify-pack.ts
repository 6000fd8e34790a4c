// Checks an audit pack with nothing but the pack: no network, no database, nothing of the service's state.
import { createHash } from "node:crypto";
import { PassThrough, type Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Entry, openPromise, type ZipFile } from "yauzl";
import { z } from "zod";
import { monthSchema } from "../../shared/contracts/common.ts";
import { sha256Schema } from "../../shared/contracts/records.ts";
import { word } from "../../shared/words/index.ts";
import { readClaim } from "../keys/index.ts";
import { checkpointSha256 } from "../ledger/index.ts";
import { canonicalOrNull, count, Fault, instant, linesOf, parsed, utf8 } from "./fault.ts";
import { firstFormat, type Manifest, type MonthSpan, manifestFiles, packFormat, photoFileForm } from "./pack-format.ts";
import { readPackKeys } from "./pack-keys.ts";
import { schemaFile } from "./pack-schemas.ts";
import { type Authorities, type Stamped, TimeStamps, timeStampFile } from "./time-stamps.ts";
import { Chains, Month } from "./verify-month.ts";
import { NamesRead } from "./verify-names.ts";
import { Checkpoints, Records, Tree } from "./verify-records.ts";

export type Verdict = ({ readonly holds: true } & Held) | { readonly holds: false; readonly why: string };

/** A manifest as it is read: an older one has no spans of the month. */
export interface ReadManifest extends Omit<Manifest, "format" | "spans"> {
  readonly spans: readonly MonthSpan[] | null;
}

interface Held {
  readonly manifest: ReadManifest;
  readonly kid: string;
  /** how many photos its records name, and how many of them are in it */
  readonly photos: { readonly named: number; readonly added: number };
  /** how many records have had their words forgotten, as their time was over */
  readonly forgotten: number;
  /** the checkpoint that everything leads to */
  readonly checkpoint: { readonly number: number; readonly takenAt: string; readonly rootSha256: string };
  readonly timeStamps: Stamped;
  /** the print of that checkpoint; `printed`: the checkpoint whose print was asked for, null if none was */
  readonly print: string;
  readonly printed: { readonly number: number; readonly takenAt: string; readonly treeSize: number } | null;
  /** what such a pack cannot prove, in words */
  readonly limits: readonly string[];
}

export interface Believed {
  /** the only key that is trusted, by its thumbprint */
  readonly kid?: string | undefined;
  /** the trusted time-stamp authorities; without them a time-stamp is checked, but not who issued it */
  readonly authorities?: Authorities | undefined;
  /** a print from a report, which has to be that of one of the checkpoints; blanks are ignored */
  readonly print?: string | undefined;
}

/** Recomputes everything that a pack states, and names the first thing that is wrong. Does not throw. */
export async function verifyPack(path: string, believed: Believed = {}): Promise<Verdict> {
  let zip: ZipFile | null = null;
  try {
    zip = await openPromise(path, { autoClose: false, strictFileNames: true });
    return { holds: true, ...(await verifyZip(zip, believed)) };
  } catch (error) {
    const fault =
      error instanceof Fault ? error : new Fault("audit.why.not-a-zip", { what: error instanceof Error ? error.message : String(error) });
    return { holds: false, why: fault.message };
  } finally {
    zip?.close();
  }
}

async function verifyZip(zip: ZipFile, { kid: onlyKid, authorities, print }: Believed): Promise<Held> {
  const pack = new Pack(zip, await entriesOf(zip));
  const keys = readPackKeys(await pack.text("keys.json"));
  const signed = await readClaim(keys, "pack", await pack.text("manifest.jws"));
  if (!signed) throw new Fault("audit.why.signature", { name: "manifest.jws" });
  const { kid } = signed;
  const payload = utf8("manifest.jws", signed.payload);
  if (onlyKid !== undefined && kid !== onlyKid) throw new Fault("audit.why.key", { kid });
  if (payload !== (await pack.text("manifest.json"))) throw new Fault("audit.why.manifest");
  if (canonicalOrNull(JSON.parse(payload)) !== payload)
    throw new Fault("audit.why.format", { name: "manifest.json", what: "canonical JSON" });
  const manifest = parsed("manifest.json", manifestSchema, payload);
  pack.mustHoldJust(manifest);

  const isFirst = manifest.spans === null;
  const month = new Month(manifest);
  const names = new NamesRead();
  const records = new Records(month, isFirst ? null : names);
  const tree = new Tree(records);
  const chains = new Chains();
  const checkpoints = new Checkpoints(keys, manifest.firmId, isFirst);
  const timeStamps = new TimeStamps(authorities ?? null);
  // In this order: names before the records that use them, records before the tree and the rows that are made from them.
  const readers: Readonly<Record<string, Reader>> = {
    ...(isFirst ? {} : { "names.ndjson": byLine((line, number) => names.take(line, number)) }),
    "records.ndjson": byLine((line, number) => records.takeRecord(line, number)),
    ...(isFirst ? {} : { "neighbours.ndjson": byLine((line, number) => records.takeNeighbour(line, number)) }),
    "tree.ndjson": byLine((line, number) => tree.take(line, number)),
    ...(isFirst ? {} : { "chains.ndjson": byLine((line, number) => chains.take(line, number)) }),
    "checkpoints.ndjson": byLine((line, number) => checkpoints.take(line, number)),
    "records.csv": (csv) => records.rows.compare(csv),
  };
  // Missing if no witness has time-stamped any of the checkpoints.
  const optional: Readonly<Record<string, Reader>> = {
    [timeStampFile]: byLine((line, number) => timeStamps.take(line, number, checkpoints.read)),
  };
  const always = [...Object.keys(readers), "read-me.txt", "month.pdf", "keys.json"];
  for (const name of always) {
    if (!manifest.files.some((file) => file.name === name)) throw new Fault("audit.why.missing", { name });
  }
  for (const { name } of manifest.files) {
    if (!always.includes(name) && !(name in optional) && name !== schemaFile && !photoFileForm.test(name))
      throw new Fault("audit.why.file", { name });
  }
  const fileOf = new Map(manifest.files.map((file) => [file.name, file]));
  if (fileOf.size !== manifest.files.length) throw new Fault("audit.why.manifest");
  for (const [name, reader] of Object.entries({ ...readers, ...optional })) {
    const file = fileOf.get(name);
    if (file) await pack.verify(file, reader);
  }
  for (const file of manifest.files) if (!(file.name in readers || file.name in optional)) await pack.verify(file);

  for (const what of ["records", "chains", "gaps", "neighbours"] as const) {
    const [said, found] = [manifest[what], records.counts[what]];
    if (said !== found) throw new Fault("audit.why.count", { what, said, found });
  }
  const ends = records.ends();
  const last = checkpoints.mustEndIn(manifest.checkpoint, tree.end());
  records.mustBeOldEnough(last.takenAt);
  // A pack made since checkpoints state the chains shows them; only older ones have the first format.
  if (isFirst && last.chainsSha256 !== null) throw new Fault("audit.why.first");
  if (!isFirst) {
    chains.mustBe(last, ends);
    if (manifest.depotId === null) chains.mustBeCovered(month.coverage);
  }
  return {
    ...{ manifest, kid, photos: { named: records.photos.size, added: photosIn(manifest, records.photos) }, forgotten: records.forgotten },
    checkpoint: { number: last.number, takenAt: last.takenAt, rootSha256: last.rootSha256 },
    ...{ timeStamps: timeStamps.end(last.number, checkpoints.read.length), print: checkpointSha256(last) },
    printed: print === undefined ? null : printedIn(checkpoints.read, print),
    limits: limitsOf(manifest, { gaps: records.counts.gaps, withoutChains: checkpoints.withoutChains }),
  };
}

function limitsOf({ spans, depotId }: ReadManifest, { gaps, withoutChains }: { gaps: number; withoutChains: number }): string[] {
  if (spans === null) return [word("audit.limit.first")];
  return [
    ...(depotId === null ? [] : [word("audit.limit.depot", "en", { gaps })]),
    ...(withoutChains === 0 ? [] : [word("audit.limit.checkpoints", "en", { count: withoutChains })]),
  ];
}

/** The checkpoint with that print. */
function printedIn(checkpoints: Checkpoints["read"], print: string): NonNullable<Held["printed"]> {
  const wanted = print.replaceAll(/\s/g, "").toLowerCase();
  const found = checkpoints.find((one) => checkpointSha256(one) === wanted);
  if (!found) throw new Fault("audit.why.print");
  return { number: found.number, takenAt: found.takenAt, treeSize: found.treeSize };
}

/** How many photos the pack holds. Throws a fault if one is not what its name says, or no record names it. */
function photosIn({ files }: ReadManifest, named: ReadonlySet<string>): number {
  let added = 0;
  for (const { name, sha256 } of files) {
    const said = photoFileForm.exec(name)?.[1];
    if (said === undefined) continue;
    if (said !== sha256 || !named.has(said)) throw new Fault("audit.why.photo", { name });
    added += 1;
  }
  return added;
}

async function entriesOf(zip: ZipFile): Promise<Map<string, Entry>> {
  const entries = new Map<string, Entry>();
  for await (const entry of zip.eachEntry()) {
    if (entries.has(entry.fileName)) throw new Fault("audit.why.twice", { name: entry.fileName });
    entries.set(entry.fileName, entry);
  }
  return entries;
}

/** Reads a file to its end, or throws what is wrong with it. */
type Reader = (content: Readable, name: string) => Promise<void>;

const byLine =
  (take: (line: string, number: number) => void | Promise<void>): Reader =>
  async (content, name) => {
    let number = 0;
    for await (const line of linesOf(content, name)) {
      number += 1;
      await take(line, number);
    }
  };

const mostBytesInMemory = 16 * 1024 * 1024;

class Pack {
  readonly #zip: ZipFile;
  readonly #entries: ReadonlyMap<string, Entry>;

  constructor(zip: ZipFile, entries: ReadonlyMap<string, Entry>) {
    this.#zip = zip;
    this.#entries = entries;
  }

  #entry(name: string): Entry {
    const entry = this.#entries.get(name);
    if (!entry) throw new Fault("audit.why.missing", { name });
    return entry;
  }

  #open(name: string): Promise<Readable> {
    return this.#zip.openReadStreamPromise(this.#entry(name));
  }

  async text(name: string): Promise<string> {
    if (this.#entry(name).uncompressedSize > mostBytesInMemory) throw new Fault("audit.why.too-long", { name });
    const chunks: Buffer[] = [];
    for await (const chunk of await this.#open(name)) chunks.push(chunk as Buffer);
    return utf8(name, Buffer.concat(chunks));
  }

  mustHoldJust({ files }: ReadManifest): void {
    const named = new Set<string>([...files.map(({ name }) => name), ...manifestFiles]);
    for (const name of named) this.#entry(name);
    for (const name of this.#entries.keys()) if (!named.has(name)) throw new Fault("audit.why.unknown-file", { name });
  }

  /** Checks length and hash of a file. `read` comes first, so that a wrong record is reported as such and not as a wrong hash of the file. */
  async verify({ name, bytes, sha256 }: Manifest["files"][number], read?: Reader): Promise<void> {
    const hash = createHash("sha256");
    let length = 0;
    const through = new PassThrough();
    const source = await this.#open(name);
    const metered = async function* (chunks: AsyncIterable<Buffer>) {
      for await (const chunk of chunks) {
        hash.update(chunk);
        length += chunk.length;
        yield chunk;
      }
    };
    const piped = pipeline(source, metered, through);
    piped.catch(() => undefined);
    if (read) await read(through, name);
    else through.resume();
    await piped;
    if (length !== bytes) throw new Fault("audit.why.length", { name });
    if (hash.digest("hex") !== sha256) throw new Fault("audit.why.hash", { name });
  }
}

const manifestShape = {
  packId: z.string(),
  firmId: z.string(),
  month: monthSchema,
  depotId: z.string().nullable(),
  requestedBy: z.string(),
  madeAt: instant,
  checkpoint: count,
  records: count,
  chains: count,
  gaps: count,
  files: z.array(z.strictObject({ name: z.string(), bytes: count, sha256: sha256Schema })),
};
const spanSchema = z.strictObject({ depotId: z.string().nullable(), timeZone: z.string(), starts: z.string(), ends: z.string() });
const manifestSchema = z.discriminatedUnion("format", [
  z.strictObject({ format: z.literal(packFormat), ...manifestShape, spans: z.array(spanSchema), neighbours: count }),
  z.strictObject({ format: z.literal(firstFormat), ...manifestShape }).transform((first) => ({ ...first, spans: null, neighbours: 0 })),
]);
