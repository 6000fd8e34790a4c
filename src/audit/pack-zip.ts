// A ZIP that is written and hashed in one pass, part after part, so that no part is whole in memory.
import { createHash } from "node:crypto";
import { PassThrough, Readable, Transform, type Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { ZipFile } from "yazl";
import type { ManifestFile } from "./pack-format.ts";

/** A ZIP on its way out, hashed as it goes; part after part, so that only one is open. */
export class Zip {
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
    // The error is seen by whoever adds the next part; here it only must not go unhandled.
    this.#written.catch(() => undefined);
  }

  /** All parts so far, with length and hash. */
  get files(): ManifestFile[] {
    return [...this.#files];
  }

  /** Adds a part of text or bytes; resolves when all of it is written. */
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
    // If writing the ZIP fails (a full disk), nobody reads this part any more: without the race it would wait for ever.
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
