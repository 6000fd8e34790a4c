// Time-stamps of RFC 3161: the question, and what has to hold of an answer. Nothing is fetched or stored here.
import { hash } from "node:crypto";
import { type BitString, fromBER, Integer, Null, ObjectIdentifier, OctetString, Sequence } from "asn1js";
import {
  AlgorithmIdentifier,
  type Certificate,
  ContentInfo,
  ExtKeyUsage,
  id_ContentType_SignedData,
  id_ExtKeyUsage,
  id_eContentType_TSTInfo,
  id_sha1,
  id_sha256,
  id_sha384,
  id_sha512,
  MessageImprint,
  SignedData,
  SignedDataVerifyError,
  type SignerInfo,
  TimeStampReq,
  TimeStampResp,
  TSTInfo,
} from "pkijs";
import { NotWitnessed } from "./refused.ts";

/** What a token says, once everything about it was checked that can be. */
export interface Stamp {
  /** it existed before this moment */
  readonly at: Date;
  /** how far that may be off, by the authority's own statement; 0 without one */
  readonly accuracyMs: number;
  /** what the certificate of the signer calls it */
  readonly authority: string;
}

/** The question in DER: SHA-256 of the bytes, a number that is used once, and the request to send the certificates along. */
export function stampRequest(of: Uint8Array, nonce: bigint): Buffer {
  const imprint = new MessageImprint({
    hashAlgorithm: new AlgorithmIdentifier({ algorithmId: id_sha256, algorithmParams: new Null() }),
    hashedMessage: new OctetString({ valueHex: hash("sha256", of, "buffer") }),
  });
  const request = new TimeStampReq({ version: 1, messageImprint: imprint, nonce: Integer.fromBigInt(nonce), certReq: true });
  return Buffer.from(request.toSchema().toBER());
}

/**
 * The token in an answer, as it was sent, and what it says. `authorities`: the trusted ones; null: any signer, so that the token is checked but
 * not who issued it. Throws `NotWitnessed`.
 */
export async function readAnswer(
  answer: Uint8Array,
  asked: { readonly of: Uint8Array; readonly nonce: bigint },
  authorities: readonly Certificate[] | null,
): Promise<{ token: Buffer; stamp: Stamp }> {
  const block = onlyBlock(answer);
  const response = made(() => new TimeStampResp({ schema: block }));
  const { status, statusStrings, failInfo } = response.status;
  // 0 granted, 1 granted with changes: RFC 3161 section 2.4.2.
  if (status !== 0 && status !== 1) {
    const said = [...(statusStrings ?? []).map(({ valueBlock }) => valueBlock.value), ...bitsOf(failInfo)].join(", ");
    throw new NotWitnessed("refused", { status, said: said.replaceAll(/[^\x20-\x7e]/g, "?").slice(0, 200) || "-" });
  }
  // The token's bytes as they were sent: encoded again they might differ from what was signed.
  const [, sent] = block.valueBlock.value;
  if (!sent) throw new NotWitnessed("form");
  const token = Buffer.from(sent.valueBeforeDecodeView);
  return { token, stamp: await readToken(token, asked.of, authorities, asked.nonce) };
}

/** What a token says of these bytes; with `nonce`, that it answers that question. Throws `NotWitnessed`. */
export async function readToken(
  token: Uint8Array,
  of: Uint8Array,
  authorities: readonly Certificate[] | null,
  nonce?: bigint,
): Promise<Stamp> {
  const outer = onlyBlock(token);
  const signed = made(() => {
    const { contentType, content } = new ContentInfo({ schema: outer });
    if (contentType !== id_ContentType_SignedData) throw new NotWitnessed("form");
    return new SignedData({ schema: content });
  });
  const { eContentType, eContent } = signed.encapContentInfo;
  if (eContentType !== id_eContentType_TSTInfo || !eContent) throw new NotWitnessed("form");
  const said = made(() => new TSTInfo({ schema: onlyBlock(new Uint8Array(eContent.getValue())) }));
  mustAnswer(said, of, nonce);
  const [signer, ...others] = signed.signerInfos;
  // "The time-stamp token MUST NOT contain any signatures other than the signature of the TSA": RFC 3161 section 2.4.2.
  if (!signer || others.length > 0) throw new NotWitnessed("form");
  mustBeStrong(signer.digestAlgorithm.algorithmId);
  const certificate = await verifiedSigner(signed, of, authorities);
  await mustNameItsCertificate(signer, certificate);
  mustBeForTime(certificate);
  const at = said.genTime;
  if (at < certificate.notBefore.value || at > certificate.notAfter.value) throw new NotWitnessed("expired");
  return { at, accuracyMs: accuracyOf(said), authority: nameOf(certificate) };
}

/** The one block of BER or DER that these bytes are; nothing may follow it. */
function onlyBlock(bytes: Uint8Array): Sequence {
  const { offset, result } = fromBER(new Uint8Array(bytes));
  if (offset !== bytes.length || !(result instanceof Sequence)) throw new NotWitnessed("form");
  return result;
}

/** The library's reading of it; throws `NotWitnessed` if it cannot be read. */
function made<T>(make: () => T): T {
  try {
    return make();
  } catch (error) {
    throw error instanceof NotWitnessed ? error : new NotWitnessed("form");
  }
}

function mustAnswer(said: TSTInfo, of: Uint8Array, nonce: bigint | undefined): void {
  if (said.version !== 1 || Number.isNaN(said.genTime.getTime())) throw new NotWitnessed("form");
  // A critical extension that is not understood must not be ignored: RFC 3161 section 2.4.2, RFC 5280 section 4.2.
  if (said.extensions?.some(({ critical }) => critical)) throw new NotWitnessed("form");
  const { hashAlgorithm, hashedMessage } = said.messageImprint;
  const imprint = Buffer.from(hashedMessage.valueBlock.valueHexView);
  if (hashAlgorithm.algorithmId !== id_sha256 || !imprint.equals(hash("sha256", of, "buffer"))) throw new NotWitnessed("imprint");
  if (nonce !== undefined && said.nonce?.toBigInt() !== nonce) throw new NotWitnessed("nonce");
}

const strongHashes: readonly string[] = [id_sha256, id_sha384, id_sha512];

function mustBeStrong(algorithm: string): void {
  if (!strongHashes.includes(algorithm)) throw new NotWitnessed("weak");
}

// RSA and ECDSA with SHA-1, and RSA with MD5: RFC 8017 appendix A.2.4, RFC 5758 section 3.2.
const weakSignatures: readonly string[] = ["1.2.840.113549.1.1.5", "1.2.840.113549.1.1.4", "1.2.840.10045.4.1"];

/** The certificate whose key signed it. With authorities: up to one of them there is a valid path, at the moment that the token says. */
async function verifiedSigner(signed: SignedData, of: Uint8Array, authorities: readonly Certificate[] | null): Promise<Certificate> {
  const checkChain = authorities !== null;
  const data = new Uint8Array(of).buffer;
  const found = await signed
    .verify({ signer: 0, data, checkChain, trustedCerts: [...(authorities ?? [])], passedWhenNotRevValues: true, extendedMode: true })
    .catch((error: unknown) => {
      // 5: the library's code for a path that is missing or not valid.
      const isPath = error instanceof SignedDataVerifyError && error.code === 5;
      throw new NotWitnessed(isPath ? "authority" : "signature");
    });
  if (found.signatureVerified !== true || !found.signerCertificate) throw new NotWitnessed("signature");
  // The last certificate of the path is trusted itself, whatever its own signature is.
  const path = checkChain ? found.certificatePath.slice(0, -1) : [found.signerCertificate];
  if (path.some(({ signatureAlgorithm }) => weakSignatures.includes(signatureAlgorithm.algorithmId))) throw new NotWitnessed("weak");
  return found.signerCertificate;
}

// RFC 5652 section 11.1; RFC 2634 section 5.4 (SHA-1) and RFC 5035 section 3.
const contentTypeAttribute = "1.2.840.113549.1.9.3";
const certificateAttributes: Readonly<Record<string, string>> = {
  "1.2.840.113549.1.9.16.2.12": id_sha1,
  "1.2.840.113549.1.9.16.2.47": id_sha256,
};
const nameOfHash: Readonly<Record<string, string>> = {
  [id_sha1]: "sha1",
  [id_sha256]: "sha256",
  [id_sha384]: "sha384",
  [id_sha512]: "sha512",
};

/** The signed attributes have to say that this is a time-stamp and by which certificate, so that neither can be replaced. */
async function mustNameItsCertificate({ signedAttrs }: SignerInfo, certificate: Certificate): Promise<void> {
  const attributes = signedAttrs?.attributes ?? [];
  const types = attributes.filter(({ type }) => type === contentTypeAttribute).flatMap(({ values }) => values);
  const [type] = types;
  if (types.length !== 1 || !(type instanceof ObjectIdentifier) || type.valueBlock.toString() !== id_eContentType_TSTInfo)
    throw new NotWitnessed("form");
  const der = Buffer.from(certificate.toSchema().toBER());
  const named = attributes.some(({ type: attribute, values }) => {
    const usual = certificateAttributes[attribute];
    return usual !== undefined && firstCertificateHash(values[0], usual)?.({ der });
  });
  if (!named) throw new NotWitnessed("certificate");
}

/** SigningCertificate(V2): a list of ESSCertID(V2), the first of them the signer's; its hash, with another algorithm where it says so. */
function firstCertificateHash(value: unknown, usual: string): ((of: { der: Buffer }) => boolean) | null {
  const first = childOf(childOf(value, 0), 0);
  const leading = childOf(first, 0);
  const named = leading instanceof Sequence ? childOf(leading, 0) : null;
  const algorithm = nameOfHash[named instanceof ObjectIdentifier ? named.valueBlock.toString() : usual];
  const held = leading instanceof OctetString ? leading : childOf(first, 1);
  if (!algorithm || !(held instanceof OctetString)) return null;
  const bytes = Buffer.from(held.valueBlock.valueHexView);
  return ({ der }) => bytes.equals(hash(algorithm, der, "buffer"));
}

const childOf = (block: unknown, index: number): unknown => (block instanceof Sequence ? block.valueBlock.value[index] : undefined);

// RFC 3161 section 2.3: this use, said to be critical, and no other.
const timeStamping = "1.3.6.1.5.5.7.3.8";

function mustBeForTime({ extensions = [] }: Certificate): void {
  const uses = extensions.filter(({ extnID }) => extnID === id_ExtKeyUsage);
  const [use] = uses;
  const purposes = use?.parsedValue instanceof ExtKeyUsage ? use.parsedValue.keyPurposes : [];
  if (uses.length !== 1 || !use?.critical || purposes.length !== 1 || purposes[0] !== timeStamping) throw new NotWitnessed("use");
}

function accuracyOf({ accuracy }: TSTInfo): number {
  if (!accuracy) return 0;
  return (accuracy.seconds ?? 0) * 1000 + (accuracy.millis ?? 0) + (accuracy.micros ?? 0) / 1000;
}

// RFC 5280 appendix A.1: common name, organisation.
const nameParts = ["2.5.4.3", "2.5.4.10"];

function nameOf({ subject }: Certificate): string {
  const parts = nameParts.flatMap((type) => subject.typesAndValues.filter((one) => one.type === type).slice(0, 1));
  const text = parts.map(({ value }) => String(value.valueBlock.value)).join(", ");
  return Array.from(text.replaceAll(/\p{C}/gu, "?")).slice(0, 200).join("") || "?";
}

/** The numbers of the bits that are set: PKIFailureInfo. */
const bitsOf = (bits: BitString | undefined): string[] =>
  [...(bits?.valueBlock.valueHexView ?? [])].flatMap((byte, at) =>
    [0, 1, 2, 3, 4, 5, 6, 7].flatMap((bit) => (byte & (0x80 >> bit) ? [`PKIFailureInfo ${at * 8 + bit}`] : [])),
  );
