// Checks an audit pack with nothing but the pack: no network, no database, nothing of the service's state.
import { createHash } from "node:crypto";
import { createInterface } from "node:readline";
import { PassThrough, type Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Entry, openPromise, type ZipFile } from "yauzl";
import { z } from "zod";
import { monthSchema } from "../../shared/contracts/common.ts";
import { publicKeySetSchema } from "../../shared/contracts/people.ts";
import { sha256Schema } from "../../shared/contracts/records.ts";
import { readClaim } from "../ledger/index.ts";
import { count, Fault, parsed, utf8 } from "./fault.ts";
import { type Manifest, manifestFiles, packFormat, photoFileForm } from "./pack-format.ts";
import { Checkpoints, Records, Tree } from "./verify-records.ts";

export type Verdict = ({ readonly holds: true } & Held) | { readonly holds: false; readonly why: string };

interface Held {
  readonly manifest: Manifest;
  readonly kid: string;
  /** how many photos its records name, and how many of them are in it */
  readonly photos: { readonly named: number; readonly added: number };
}

/** Recomputes everything that a pack states. `kid`: the only key that is believed, by its thumbprint. The first thing that fails is named. */
export async function verifyPack(path: string, { kid }: { kid?: string | undefined } = {}): Promise<Verdict> {
  let zip: ZipFile | null = null;
  try {
    zip = await openPromise(path, { autoClose: false, strictFileNames: true });
    return { holds: true, ...(await verifyZip(zip, kid)) };
  } catch (error) {
    const fault =
      error instanceof Fault ? error : new Fault("audit.why.not-a-zip", { what: error instanceof Error ? error.message : String(error) });
    return { holds: false, why: fault.message };
  } finally {
    zip?.close();
  }
}

async function verifyZip(zip: ZipFile, onlyKid: string | undefined): Promise<Held> {
  const pack = new Pack(zip, await entriesOf(zip));
  const { keys } = parsed("keys.json", publicKeySetSchema, await pack.text("keys.json"));
  const signed = await readClaim(keys, "pack", await pack.text("manifest.jws"));
  if (!signed) throw new Fault("audit.why.signature", { name: "manifest.jws" });
  const { kid } = signed;
  const payload = utf8("manifest.jws", signed.payload);
  if (onlyKid !== undefined && kid !== onlyKid) throw new Fault("audit.why.key", { kid });
  if (payload !== (await pack.text("manifest.json"))) throw new Fault("audit.why.manifest");
  const manifest = parsed("manifest.json", manifestSchema, payload);
  pack.mustHoldJust(manifest);

  const records = new Records();
  const tree = new Tree(records);
  const checkpoints = new Checkpoints(keys, manifest.firmId);
  const readers: Readonly<Record<string, LineReader>> = {
    "records.ndjson": (line, number) => records.take(line, number),
    "tree.ndjson": (line, number) => tree.take(line, number),
    "checkpoints.ndjson": (line, number) => checkpoints.take(line, number),
  };
  // The manifest lists them in the order of the ZIP: the records before the tree that is made of them.
  for (const name of Object.keys(readers))
    if (!manifest.files.some((file) => file.name === name)) throw new Fault("audit.why.missing", { name });
  for (const file of manifest.files) await pack.verify(file, readers[file.name]);

  for (const what of ["records", "chains", "gaps"] as const) {
    const [said, found] = [manifest[what], records.counts[what]];
    if (said !== found) throw new Fault("audit.why.count", { what, said, found });
  }
  checkpoints.mustEndIn(manifest.checkpoint, tree.end());
  return { manifest, kid, photos: { named: records.photos.size, added: photosIn(manifest, records.photos) } };
}

/** How many photos it holds: each with the hash that its name says, and named by a record. */
function photosIn({ files }: Manifest, named: ReadonlySet<string>): number {
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

/** May wait for what it checks of a line. */
type LineReader = (line: string, number: number) => void | Promise<void>;

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

  mustHoldJust({ files }: Manifest): void {
    const named = new Set<string>([...files.map(({ name }) => name), ...manifestFiles]);
    for (const name of named) this.#entry(name);
    for (const name of this.#entries.keys()) if (!named.has(name)) throw new Fault("audit.why.unknown-file", { name });
  }

  /** Length and hash of a file; each of its lines goes to `read` first, so that what is wrong with a record is said of the record. */
  async verify({ name, bytes, sha256 }: Manifest["files"][number], read?: LineReader): Promise<void> {
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
    if (read) {
      let number = 0;
      for await (const line of createInterface({ input: through, crlfDelay: 0 })) {
        number += 1;
        await read(line, number);
      }
    } else {
      through.resume();
    }
    await piped;
    if (length !== bytes) throw new Fault("audit.why.length", { name });
    if (hash.digest("hex") !== sha256) throw new Fault("audit.why.hash", { name });
  }
}

const manifestSchema = z.strictObject({
  format: z.literal(packFormat),
  packId: z.string(),
  firmId: z.string(),
  month: monthSchema,
  depotId: z.string().nullable(),
  requestedBy: z.string(),
  madeAt: z.string(),
  checkpoint: count,
  records: count,
  chains: count,
  gaps: count,
  files: z.array(z.strictObject({ name: z.string(), bytes: count, sha256: sha256Schema })),
});
