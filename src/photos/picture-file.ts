// What the bytes of a file say it is, before any decoder sees them. Signatures: JPEG by ITU-T T.81, B.1.1 (SOI, then a marker);
// PNG by W3C PNG (Third Edition), 5.2 and 5.3; WebP by RFC 9649, 2.3 to 2.7.
import type { PhotoType } from "../../shared/contracts/photos.ts";
import type { PictureFault } from "./refused.ts";

const pngSignature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
const text = (bytes: Buffer, from: number, to: number): string => bytes.toString("latin1", from, to);

/** The type by content; null for anything else. */
export function typeOf(bytes: Buffer): PhotoType | null {
  if (bytes.length > 3 && bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "image/jpeg";
  if (bytes.subarray(0, 8).equals(pngSignature)) return "image/png";
  if (text(bytes, 0, 4) === "RIFF" && text(bytes, 8, 12) === "WEBP") return "image/webp";
  return null;
}

/**
 * What is wrong with the file's structure; null if nothing is. Data after a JPEG's end is no fault: cameras put a second picture or a clip
 * there, and none of it is kept.
 */
export function faultIn(bytes: Buffer, type: PhotoType): PictureFault | null {
  if (type === "image/png") return faultInPng(bytes);
  return type === "image/webp" ? faultInWebp(bytes) : null;
}

function faultInPng(bytes: Buffer): PictureFault | null {
  // A chunk: length, name, that many bytes, checksum.
  for (let at = 8; at + 12 <= bytes.length; ) {
    const name = text(bytes, at + 4, at + 8);
    const next = at + 12 + bytes.readUInt32BE(at);
    if (name === "acTL") return "animated";
    if (name === "IEND") return next === bytes.length ? null : "more-behind";
    at = next;
  }
  return "cut-short";
}

function faultInWebp(bytes: Buffer): PictureFault | null {
  if (bytes.length < 20) return "cut-short";
  const end = 8 + bytes.readUInt32LE(4);
  if (end > bytes.length) return "cut-short";
  if (end < bytes.length) return "more-behind";
  // A chunk: name, length, that many bytes, one more where they are odd in number.
  for (let at = 12; at + 8 <= end; ) {
    const name = text(bytes, at, at + 4);
    if (name === "ANIM" || name === "ANMF") return "animated";
    const size = bytes.readUInt32LE(at + 4);
    at += 8 + size + (size % 2);
  }
  return null;
}
