// The certificates of trusted time-stamp authorities: a PEM file with one or several.
import { X509Certificate } from "node:crypto";
import { readFile } from "node:fs/promises";
import { Certificate } from "pkijs";

/** Reads them. Throws one sentence where the file is not there or holds none. */
export async function readAuthorities(path: string): Promise<Certificate[]> {
  const text = await readFile(path, "utf8").catch(() => {
    throw new Error(`The file of authorities ${path} cannot be read.`);
  });
  const blocks = text.match(/-----BEGIN CERTIFICATE-----[\s\S]+?-----END CERTIFICATE-----/g) ?? [];
  try {
    const read = blocks.map((block) => Certificate.fromBER(new Uint8Array(new X509Certificate(block).raw)));
    if (read.length > 0) return read;
  } catch {
    // Said below.
  }
  throw new Error(`The file of authorities ${path} holds no certificate in PEM that can be read.`);
}
