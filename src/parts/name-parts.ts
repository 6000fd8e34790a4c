// The name of a part that was given by its number alone.
import { partKey } from "../../shared/rules/part-prices.ts";
import type { Database } from "../platform/index.ts";
import { findParts, partsRecorded } from "./store.ts";

interface SentPart {
  readonly name?: string | undefined;
  readonly quantity: number;
  readonly number?: string | undefined;
}

type NamedPart = SentPart & { readonly name: string };

const isNamed = (part: SentPart): part is NamedPart => part.name !== undefined;

/**
 * The parts of a repair, each with a name: the one that was sent, else the list's, else the number as it was typed. Where the repair is on record already, its
 * names stand: the list may have changed since, and the same repair sent again is the same.
 */
export async function namedParts(db: Database, repairId: string, parts: readonly SentPart[]): Promise<NamedPart[]> {
  if (parts.every(isNamed)) return [...parts];
  const [recorded, listed] = [
    await partsRecorded(db, repairId),
    await findParts(
      db.rows,
      parts.flatMap(({ number }) => (number === undefined ? [] : [partKey(number)])),
    ),
  ];
  return parts.map((part, at) => {
    if (isNamed(part)) return part;
    const { number = "" } = part;
    const known = recorded[at]?.number === number ? recorded[at].name : listed.get(partKey(number))?.name;
    return { ...part, name: known ?? number };
  });
}
