// Audit packs in a test's hands: fetched, taken apart and put together again.
import { execFile, execFileSync } from "node:child_process";
import { randomUUID } from "node:crypto";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect } from "vitest";
import { type Entry, fromBufferPromise } from "yauzl";
import { ZipFile } from "yazl";
import { workOff } from "../../src/audit/work-off.ts";
import { expectAnswer } from "./acts.ts";
import type { TestService } from "./test-service.ts";
import { wholeBody } from "./whole-body.ts";

/** What is in a pack, by name. */
export type Files = Map<string, Buffer>;

export async function filesOf(bytes: Buffer): Promise<Files> {
  const files: Files = new Map();
  const zip = await fromBufferPromise(bytes);
  for await (const entry of zip.eachEntry()) files.set(entry.fileName, await contentOf(entry));
  return files;

  async function contentOf(entry: Entry): Promise<Buffer> {
    const chunks: Buffer[] = [];
    for await (const chunk of await zip.openReadStreamPromise(entry)) chunks.push(chunk as Buffer);
    return Buffer.concat(chunks);
  }
}

/** Orders a pack, has it made here, fetches it and takes it apart. */
export async function packOf({ app, as }: TestService, body: object, who = "F001"): Promise<Files> {
  const { id } = await expectAnswer((await as(who)).post("/v1/audit-packs").send(body), 202);
  await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
  const answer = await (await as(who)).get(`/v1/audit-packs/${id}/download`).buffer(true).parse(wholeBody);
  expect(answer.status).toBe(200);
  return filesOf(answer.body as Buffer);
}

/** Writes them as a ZIP into the folder; answers its path. */
export async function zipOf(folder: string, files: Iterable<readonly [string, Buffer]>): Promise<string> {
  const zip = new ZipFile();
  for (const [name, content] of files) zip.addBuffer(content, name, { compress: false });
  zip.end();
  const chunks: Buffer[] = [];
  for await (const chunk of zip.outputStream) chunks.push(chunk as Buffer);
  const path = join(folder, `${randomUUID()}.zip`);
  await writeFile(path, Buffer.concat(chunks));
  return path;
}

export const linesOf = (files: Files, name: string) => (files.get(name) ?? Buffer.of()).toString("utf8").split("\n").slice(0, -1);

/** Whether verify_pack.py can run here: it takes Python with the time zones of the world. */
export function hasPython(): boolean {
  try {
    execFileSync("python3", ["-c", "import zoneinfo; zoneinfo.ZoneInfo('Europe/London')"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

const verifier = join(import.meta.dirname, "verify_pack.py");

/** What it says of the test vectors that a text has. */
export const vectorsElsewhere = async (path: string): Promise<string> =>
  (await promisify(execFile)("python3", [verifier, "--vectors", path])).stdout.trim();

/** What the verifier in another language says of a pack, and whether it holds. */
export async function verifyElsewhere(
  path: string,
  { kid, ca }: { kid?: string; ca?: string } = {},
): Promise<{ holds: boolean; says: string }> {
  const run = promisify(execFile);
  return run("python3", [verifier, path, ...(kid === undefined ? [] : ["--kid", kid]), ...(ca === undefined ? [] : ["--ca", ca])]).then(
    ({ stdout }) => ({ holds: true, says: stdout.trim() }),
    ({ code, stderr }: { code: number; stderr: string }) => {
      // Anything else than its own refusal is a fault of the verifier.
      if (code !== 1 || !stderr.startsWith("does not hold: ")) throw new Error(stderr);
      return { holds: false, says: stderr.trim() };
    },
  );
}
