// A time-stamping authority for tests: openssl makes its certificates and its answers, a small server of this machine hands them out.
import { execFile, execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";

const run = promisify(execFile);

/** Whether an authority can be made here. */
export function hasOpenssl(): boolean {
  try {
    execFileSync("openssl", ["version"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

/** What a certificate of an authority may say, as sections of openssl's settings. */
const extensions = {
  root: "basicConstraints=critical,CA:TRUE\nkeyUsage=critical,keyCertSign,cRLSign\nsubjectKeyIdentifier=hash",
  between: "basicConstraints=critical,CA:TRUE,pathlen:0\nkeyUsage=critical,keyCertSign,cRLSign\nsubjectKeyIdentifier=hash",
  good: "basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature\nextendedKeyUsage=critical,timeStamping",
  "not-critical": "basicConstraints=critical,CA:FALSE\nextendedKeyUsage=timeStamping",
  "for-more": "basicConstraints=critical,CA:FALSE\nextendedKeyUsage=critical,timeStamping,clientAuth",
  "for-else": "basicConstraints=critical,CA:FALSE\nextendedKeyUsage=critical,clientAuth",
} as const;
export type SignerKind = Exclude<keyof typeof extensions, "root" | "between">;

export interface TimeAuthority {
  readonly folder: string;
  /** path of the root's certificate, PEM */
  readonly rootFile: string;
  /** the answer (DER) to a request (DER), by the certificate of that kind */
  answer(request: Buffer, options?: { readonly signer?: SignerKind; readonly digest?: "sha256" | "sha512" | "sha1" }): Promise<Buffer>;
  /** a token (DER) of these words, signed as any CMS would be; `names`: what was signed names its certificate */
  sign(
    said: Buffer,
    options: { readonly signer: SignerKind; readonly names?: boolean; readonly digest?: "sha256" | "sha1" },
  ): Promise<Buffer>;
  /** openssl's own look at a token for that hash: null where it holds, else what it says */
  complaint(token: Buffer, sha256: string): Promise<string | null>;
  remove(): Promise<void>;
}

/** Makes a root, an authority between, and signers below it that are fit and unfit; `key`: of the signers. */
export async function makeTimeAuthority({ key = "ec" as "ec" | "rsa" } = {}): Promise<TimeAuthority> {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-authority-"));
  const at = (name: string): string => join(folder, name);
  const openssl = (...options: string[]) => run("openssl", options, { cwd: folder });
  const newKey = {
    ec: ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256"],
    rsa: ["-newkey", "rsa:2048"],
  };
  await writeFile(
    at("openssl.cnf"),
    [
      "[req]\ndistinguished_name=dn\nprompt=no\n[dn]\nCN=overridden",
      ...Object.entries(extensions).map(([name, text]) => `[${name}]\n${text}`),
      "[tsa]\ndefault_tsa=authority",
      "[authority]\nserial=serial\nsigner_digest=sha256\ndefault_policy=1.3.6.1.4.1.99999.1\ndigests=sha256,sha512\naccuracy=secs:1\nordering=no\ntsa_name=yes\ness_cert_id_chain=no\ness_cert_id_alg=sha256",
    ].join("\n"),
  );
  await writeFile(at("serial"), "01\n");
  const request = async (name: string, cn: string, kind: "ec" | "rsa"): Promise<void> => {
    await openssl(
      ...["req", "-new", ...newKey[kind], "-nodes", "-keyout", `${name}.key`, "-out", `${name}.csr`],
      ...["-subj", `/O=Made up for a test/CN=${cn}`, "-config", "openssl.cnf"],
    );
  };
  const certify = (name: string, by: string | null): Promise<unknown> =>
    openssl(
      ...["x509", "-req", "-in", `${name}.csr`, "-out", `${name}.pem`, "-days", "30", "-sha256", "-extfile", "openssl.cnf"],
      ...["-extensions", name],
      ...(by === null ? ["-signkey", `${name}.key`] : ["-CA", `${by}.pem`, "-CAkey", `${by}.key`, "-CAcreateserial"]),
    );
  await request("root", "Test Root", "ec");
  await certify("root", null);
  await request("between", "Test Authority", "ec");
  await certify("between", "root");
  const signers = ["good", "not-critical", "for-more", "for-else"] as const;
  for (const name of signers) {
    await request(name, `Test Clock ${name}`, key);
    await certify(name, "between");
  }

  let asked = 0;
  return {
    folder,
    rootFile: at("root.pem"),
    answer: async (query, { signer = "good", digest = "sha256" } = {}) => {
      const name = `query-${asked++}`;
      await writeFile(at(`${name}.tsq`), query);
      await openssl(
        ...["ts", "-reply", "-config", "openssl.cnf", "-queryfile", `${name}.tsq`, "-out", `${name}.tsr`],
        ...["-signer", `${signer}.pem`, "-inkey", `${signer}.key`, "-chain", "between.pem", `-${digest}`],
      );
      return readFile(at(`${name}.tsr`));
    },
    sign: async (said, { signer, names = true, digest = "sha256" }) => {
      await writeFile(at("said.der"), said);
      await openssl(
        ...["cms", "-sign", "-binary", "-nodetach", "-in", "said.der", "-econtent_type", "1.2.840.113549.1.9.16.1.4", "-outform", "DER"],
        ...["-out", "signed.der", "-signer", `${signer}.pem`, "-inkey", `${signer}.key`, "-certfile", "between.pem", "-md", digest],
        ...(names ? ["-cades"] : []),
      );
      return readFile(at("signed.der"));
    },
    complaint: async (token, sha256) => {
      await writeFile(at("token.der"), token);
      return openssl("ts", "-verify", "-token_in", "-in", "token.der", "-digest", sha256, "-CAfile", "root.pem").then(
        () => null,
        (error: Error & { stderr?: string }) => error.stderr ?? error.message,
      );
    },
    // openssl may still be writing an answer that nobody waits for any more.
    remove: () => rm(folder, { recursive: true, force: true, maxRetries: 20, retryDelay: 100 }),
  };
}

/** How the server answers: with a time-stamp, or in a way that must be refused. */
export type Manner = (request: IncomingMessage, response: ServerResponse, body: Buffer) => void | Promise<void>;

/** A server on a port of this machine, which counts who comes. */
export interface WitnessServer {
  readonly url: string;
  /** requests so far */
  readonly asked: () => number;
  /** changes how it answers from now on */
  answerBy(manner: Manner): void;
  close(): Promise<void>;
}

export const stamping =
  (authority: TimeAuthority, options: Parameters<TimeAuthority["answer"]>[1] = {}): Manner =>
  async (_request, response, body) => {
    const answer = await authority.answer(body, options);
    response.writeHead(200, { "content-type": "application/timestamp-reply" }).end(answer);
  };

export async function openWitnessServer(first: Manner): Promise<WitnessServer> {
  let manner = first;
  let asked = 0;
  const server = createServer((request, response) => {
    asked += 1;
    const chunks: Buffer[] = [];
    request.on("data", (chunk: Buffer) => chunks.push(chunk));
    request.on("end", () => void Promise.resolve(manner(request, response, Buffer.concat(chunks))).catch(() => response.destroy()));
  });
  await new Promise<void>((listening) => server.listen(0, "127.0.0.1", listening));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/stamp`,
    asked: () => asked,
    answerBy: (next) => {
      manner = next;
    },
    close: async () => {
      server.closeAllConnections();
      await new Promise<void>((closed) => server.close(() => closed()));
    },
  };
}
