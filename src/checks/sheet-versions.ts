// What fixes a sheet version: the hash of everything that it says. It goes into each record that names the version, so that anybody can
// check that the version meant then what it means now.
import { frozenSheets } from "../../shared/catalogue/every-version.ts";
import { SHEET_VERSION, sheetsOf } from "../../shared/catalogue/versions.ts";
import { sheetDocument } from "../../shared/words/say-sheet.ts";
import "../../shared/words/index.ts";
import { sha256 } from "../ledger/index.ts";
import { canonical } from "../platform/index.ts";

/** All versions, oldest first. */
export const sheetVersions: readonly string[] = [...frozenSheets.map(({ version }) => version), SHEET_VERSION];

/** The document of a version in canonical JSON (RFC 8785); undefined for an unknown version. */
export function sheetText(version: string): string | undefined {
  const frozen = frozenSheets.find((one) => one.version === version);
  if (frozen) return canonical(frozen);
  const sheets = version === SHEET_VERSION ? sheetsOf(version) : undefined;
  return sheets && canonical(sheetDocument(version, sheets));
}

const hashes = new Map<string, string>();

/** SHA-256 of that document, in hex; null for an unknown version. */
export function sheetSha256(version: string): string | null {
  const known = hashes.get(version);
  if (known !== undefined) return known;
  const text = sheetText(version);
  if (text === undefined) return null;
  hashes.set(version, sha256(text));
  return sha256(text);
}
