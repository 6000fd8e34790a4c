// The proof of a record, recomputed in the browser with Web Crypto, so that the page trusts nothing that it can check.
import canonicalize from "canonicalize";
import type { PublicKeySet } from "../../../shared/contracts/people.ts";
import type { CheckpointConsistency, RecordProof, ShownRecord } from "../../../shared/contracts/records.ts";
import { NotOverHttps } from "../frame/plain-http.ts";

type Checkpoint = RecordProof["checkpoint"];
type Key = PublicKeySet["keys"][number];

const bytesOf = (hex: string): Uint8Array<ArrayBuffer> => Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
const hexOf = (bytes: Uint8Array): string => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
const fromBase64url = (text: string): Uint8Array<ArrayBuffer> =>
  Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));

function subtle(): SubtleCrypto {
  if (!crypto.subtle) throw new NotOverHttps();
  return crypto.subtle;
}

/** SHA-256 in hex of text (its UTF-8) or bytes. */
export async function sha256(of: string | Uint8Array<ArrayBuffer>): Promise<string> {
  const bytes = typeof of === "string" ? new TextEncoder().encode(of) : of;
  return hexOf(new Uint8Array(await subtle().digest("SHA-256", bytes)));
}

/** RFC 8785. */
const canonical = (value: unknown): string => canonicalize(value) ?? "";

const leafHash = (sha: string): Promise<string> => sha256(bytesOf(`00${sha}`));
const nodeHash = (left: string, right: string): Promise<string> => sha256(bytesOf(`01${left}${right}`));

/** The root that follows from a leaf and its path (RFC 9162, 2.1.3.2; the tree is that of RFC 6962); null if the path does not fit the tree. */
export async function rootOfPath(
  entrySha256: string,
  leafIndex: number,
  treeSize: number,
  path: readonly string[],
): Promise<string | null> {
  if (leafIndex >= treeSize) return null;
  let node = leafIndex;
  let last = treeSize - 1;
  let root = await leafHash(entrySha256);
  for (const sibling of path) {
    if (last === 0) return null;
    if (node % 2 === 1 || node === last) {
      root = await nodeHash(sibling, root);
      while (node % 2 === 0 && node !== 0) {
        node = Math.floor(node / 2);
        last = Math.floor(last / 2);
      }
    } else root = await nodeHash(root, sibling);
    node = Math.floor(node / 2);
    last = Math.floor(last / 2);
  }
  return last === 0 ? root : null;
}

/** Whether the later tree holds all leaves of the earlier one, unchanged and in their places (RFC 9162, 2.1.4.2). */
export async function isContinued(
  earlier: Pick<Checkpoint, "treeSize" | "rootSha256">,
  later: Pick<Checkpoint, "treeSize" | "rootSha256">,
  proof: readonly string[],
): Promise<boolean> {
  if (earlier.treeSize > later.treeSize) return false;
  if (earlier.treeSize === later.treeSize) return proof.length === 0 && earlier.rootSha256 === later.rootSha256;
  if (earlier.treeSize === 0) return proof.length === 0;
  // If the earlier tree is one whole subtree, its root is the first node and is not sent.
  const path = isPowerOfTwo(earlier.treeSize) ? [earlier.rootSha256, ...proof] : [...proof];
  const [first, ...rest] = path;
  if (first === undefined) return false;
  let node = earlier.treeSize - 1;
  let last = later.treeSize - 1;
  while (node % 2 === 1) {
    node = Math.floor(node / 2);
    last = Math.floor(last / 2);
  }
  let [before, after] = [first, first];
  for (const hash of rest) {
    if (last === 0) return false;
    if (node % 2 === 1 || node === last) {
      [before, after] = [await nodeHash(hash, before), await nodeHash(hash, after)];
      while (node % 2 === 0 && node !== 0) {
        node = Math.floor(node / 2);
        last = Math.floor(last / 2);
      }
    } else after = await nodeHash(after, hash);
    node = Math.floor(node / 2);
    last = Math.floor(last / 2);
  }
  return last === 0 && before === earlier.rootSha256 && after === later.rootSha256;
}

const isPowerOfTwo = (value: number): boolean => Number.isInteger(Math.log2(value));

/** RFC 7638, base64url of SHA-256 over the required members. */
export async function thumbprint({ crv, kty, x, y }: Pick<Key, "crv" | "kty" | "x" | "y">): Promise<string> {
  const digest = bytesOf(await sha256(canonical({ crv, kty, x, y })));
  return btoa(String.fromCharCode(...digest))
    .replace(/\+/g, "-")
    .replace(/\//g, "_")
    .replace(/=+$/, "");
}

// So that nothing else that this key has signed passes for a checkpoint.
const checkpointType = "checkpoint+jws";

/** The payload of a compact JWS of that type (RFC 7515, ES256) that one of the keys has signed; null where none has. */
export async function signedPayload(
  jws: string,
  type: string,
  keys: readonly Key[],
): Promise<{ readonly payload: Record<string, unknown>; readonly kid: string } | null> {
  const [head, body, signature] = jws.split(".");
  if (head === undefined || body === undefined || signature === undefined) return null;
  try {
    const { alg, kid, typ } = JSON.parse(new TextDecoder().decode(fromBase64url(head))) as { alg?: string; kid?: string; typ?: string };
    const key = keys.find((one) => one.kid === kid);
    if (alg !== "ES256" || typ !== type || !key || kid === undefined || (await thumbprint(key)) !== kid) return null;
    const { kty, crv, x, y } = key;
    const ecdsa = { name: "ECDSA", namedCurve: "P-256" };
    const publicKey = await subtle().importKey("jwk", { kty, crv, x, y }, ecdsa, false, ["verify"]);
    const signed = new TextEncoder().encode(`${head}.${body}`);
    if (!(await subtle().verify({ name: "ECDSA", hash: "SHA-256" }, publicKey, fromBase64url(signature), signed))) return null;
    return { payload: JSON.parse(new TextDecoder().decode(fromBase64url(body))) as Record<string, unknown>, kid };
  } catch (error) {
    // If the browser cannot compute it, that does not mean that the signature is wrong.
    if (error instanceof NotOverHttps) throw error;
    return null;
  }
}

/** Whether a checkpoint agrees with what was signed: number, size, root, moment, and the chains unless it is too old to state them. */
export async function isSigned(checkpoint: Checkpoint, keys: readonly Key[]): Promise<boolean> {
  const signed = await signedPayload(checkpoint.jws, checkpointType, keys);
  if (!signed || signed.kid !== checkpoint.kid) return false;
  const said: Record<string, unknown> = { ...checkpoint };
  const names = ["number", "treeSize", "rootSha256", "takenAt", "chainCount", "chainsSha256"];
  return names.every((name) => (signed.payload[name] ?? null) === (said[name] ?? null));
}

export const proofSteps = ["data", "entry", "path", "signature"] as const;
export type ProofStep = (typeof proofSteps)[number];

/** How a step came out; `forgotten`: what the record said is gone, and only its hash is left. */
export type StepResult = "holds" | "fails" | "forgotten";

/** Checks every step, whether or not the one before it holds. `shown`: the record on the page, which has to be the one that is proved. */
export async function checkProof(
  shown: Pick<ShownRecord["record"], "id" | "sha256" | "data">,
  proof: RecordProof,
  keys: readonly Key[],
): Promise<Readonly<Record<ProofStep, StepResult>>> {
  const { entry, data, salt, sha256: sha, leafIndex, inclusion, checkpoint } = proof;
  const result = (holds: boolean): StepResult => (holds ? "holds" : "fails");
  const forgotten = data === null && salt === null;
  return {
    data: forgotten ? "forgotten" : result((await sha256(canonical({ data: shown.data, salt }))) === entry.dataSha256),
    entry: result(shown.id === entry.id && shown.sha256 === sha && (await sha256(canonical(entry))) === sha),
    path: result((await rootOfPath(sha, leafIndex, checkpoint.treeSize, inclusion)) === checkpoint.rootSha256),
    signature: result(await isSigned(checkpoint, keys)),
  };
}

/** Whether the newest checkpoint continues the one that was kept here. */
export async function checkContinuation(kept: Checkpoint, answer: CheckpointConsistency, keys: readonly Key[]): Promise<boolean> {
  const same = answer.earlier.number === kept.number && answer.earlier.treeSize === kept.treeSize;
  // The root kept in this browser counts, not the one that the service sends now.
  return same && (await isSigned(answer.later, keys)) && (await isContinued(kept, answer.later, answer.proof));
}
