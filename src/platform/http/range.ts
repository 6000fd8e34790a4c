// Which part of a stored file a call gets (RFC 9110, 13 and 14). Pure. If several ranges are asked for at once, the whole file is sent, which the
// RFC allows: to continue a broken download one range is enough.
import type { IncomingHttpHeaders } from "node:http";

/** What identifies this content: a strong entity tag with its quotation marks, and when it was made. */
export interface StoredFile {
  readonly etag: string;
  readonly modifiedAt: Date;
  readonly bytes: number;
}

/** The answer that is due. `from` and `to` are the first and the last byte of a part. */
export type PartAsked = { readonly status: 200 | 304 | 412 | 416 } | { readonly status: 206; readonly from: number; readonly to: number };

const tags = (list: string): string[] => list.match(/(?:W\/)?"[\x21\x23-\x7e\x80-\xff]*"/g) ?? [];
const weakly = (tag: string): string => tag.replace(/^W\//, "");
/** Dates in headers go to the second. */
const second = (at: Date): number => Math.floor(at.getTime() / 1000);
const secondOf = (text: string | undefined): number => (text === undefined ? Number.NaN : Date.parse(text) / 1000);

/** In the order of RFC 9110, 13.2.2. A range counts for GET alone. */
export function partAsked(method: string, headers: IncomingHttpHeaders, file: StoredFile): PartAsked {
  const [match, noneMatch] = [headers["if-match"], headers["if-none-match"]];
  if (match !== undefined) {
    if (match.trim() !== "*" && !tags(match).includes(file.etag)) return { status: 412 };
  } else if (second(file.modifiedAt) > secondOf(headers["if-unmodified-since"])) return { status: 412 };
  if (noneMatch !== undefined) {
    if (noneMatch.trim() === "*" || tags(noneMatch).map(weakly).includes(file.etag)) return { status: 304 };
  } else if (second(file.modifiedAt) <= secondOf(headers["if-modified-since"])) return { status: 304 };
  const { range } = headers;
  if (method !== "GET" || range === undefined || !isThatFile(headers["if-range"], file)) return { status: 200 };
  return partOf(range, file.bytes);
}

/** Whether the caller has the beginning of this very content: If-Range has the same strong tag, or exactly the same date. */
function isThatFile(ifRange: string | string[] | undefined, { etag, modifiedAt }: StoredFile): boolean {
  if (ifRange === undefined) return true;
  const said = String(ifRange).trim();
  return said.endsWith('"') ? said === etag : secondOf(said) === second(modifiedAt);
}

function partOf(range: string, bytes: number): PartAsked {
  const [, first = "", last = ""] = /^bytes\s*=\s*(\d{0,15})\s*-\s*(\d{0,15})\s*$/i.exec(range) ?? [];
  // Anything that is not one range of bytes is ignored.
  if (first === "" && last === "") return { status: 200 };
  if (first === "") {
    const length = Math.min(Number(last), bytes);
    return length === 0 ? { status: 416 } : { status: 206, from: bytes - length, to: bytes - 1 };
  }
  const from = Number(first);
  if (last !== "" && Number(last) < from) return { status: 200 };
  if (from >= bytes) return { status: 416 };
  return { status: 206, from, to: last === "" ? bytes - 1 : Math.min(Number(last), bytes - 1) };
}
