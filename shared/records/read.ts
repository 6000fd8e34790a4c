// Reading what an entry says: parsed once, whenever it was written.
import { z } from "zod";
import { type RecordContent, type RecordKind, recordSchema } from "./kinds.ts";

/** An entry as it is kept; `data` null: what it said was forgotten. */
export interface KeptRecord {
  readonly id: string;
  readonly kind: string;
  readonly version: number;
  readonly data: unknown;
}

/** What is left of an entry whose data was forgotten. */
export interface Forgotten {
  readonly kind: RecordKind;
  readonly data: null;
}

/** An older version of a kind. */
export interface OlderVersion {
  readonly schema: z.ZodType;
  /** what its data is in the next version; throws where it is not of this one */
  readonly lift: (data: unknown) => unknown;
}

/** An older version: its own schema reads the data, and `lift` turns that into what the next version says. */
export const lifted = <Schema extends z.ZodType>(schema: Schema, lift: (said: z.output<Schema>) => unknown): OlderVersion => ({
  schema,
  lift: (data) => lift(schema.parse(data)),
});

/**
 * The older versions of each kind, from version 1 on, as `"its-kind": [lifted(first, toSecond), lifted(second, toThird)]`. A kind that is not
 * named is at its first: what was added to its shape is a member of its schema that may be absent, with the day since when it is written.
 */
const olderVersions: { readonly [K in RecordKind]?: readonly OlderVersion[] } = {};

type OlderVersions = typeof olderVersions;

export const isRecordKind = (kind: string): kind is RecordKind => recordSchema.options.some((one) => one.shape.kind.value === kind);

/** The version in which an entry of this kind is written now. */
export const newestVersion = (kind: RecordKind, older: OlderVersions = olderVersions): number => (older[kind]?.length ?? 0) + 1;

/** The schemas of what a kind says, from its first version to the newest. */
export function schemasOf(kind: RecordKind, older: OlderVersions = olderVersions): z.ZodType[] {
  const newest = recordSchema.options.flatMap(({ shape }) => (shape.kind.value === kind ? [shape.data] : []));
  return [...(older[kind] ?? []).map(({ schema }) => schema), ...newest];
}

/** An entry that no schema reads: of a newer service, or of a fault. */
export class RecordUnreadable extends Error {
  constructor({ id, kind, version }: KeptRecord, why: string) {
    super(`Record ${id} (${kind}, version ${version}) cannot be read: ${why}.`);
    this.name = "RecordUnreadable";
  }
}

/** What an entry says, in the newest shape of its kind; `data` null where it was forgotten. Throws `RecordUnreadable`. */
export function read(entry: KeptRecord, older: OlderVersions = olderVersions): RecordContent | Forgotten {
  const { kind, version, data } = entry;
  if (!isRecordKind(kind)) throw new RecordUnreadable(entry, "there is no such kind");
  const newest = newestVersion(kind, older);
  if (!Number.isInteger(version) || version < 1 || version > newest) {
    throw new RecordUnreadable(entry, `its versions go from 1 to ${newest}`);
  }
  if (data === null) return { kind, data };
  const lifts = (older[kind] ?? []).slice(version - 1);
  try {
    return parsed({ kind, data: lifts.reduce<unknown>((said, { lift }) => lift(said), data) });
  } catch (error) {
    throw error instanceof z.ZodError ? new RecordUnreadable(entry, whatIsWrong(error)) : error;
  }
}

/** During an update this version may read what a newer one wrote: a member that no schema knows is left out, and the rest is read. */
function parsed(said: { readonly kind: RecordKind; readonly data: unknown }): RecordContent {
  const read = recordSchema.safeParse(said);
  if (read.success) return read.data;
  if (!read.error.issues.every(({ code }) => code === "unrecognized_keys")) throw read.error;
  const known: unknown = structuredClone(said);
  for (const issue of read.error.issues) {
    const holder = issue.path.reduce<unknown>((inside, step) => (isObject(inside) ? Reflect.get(inside, step) : undefined), known);
    if (issue.code === "unrecognized_keys" && isObject(holder)) for (const key of issue.keys) Reflect.deleteProperty(holder, key);
  }
  return recordSchema.parse(known);
}

const isObject = (value: unknown): value is object => typeof value === "object" && value !== null;

/** What an entry of one of these kinds says; null where it was forgotten. Throws `RecordUnreadable` for one of another kind as well. */
export function readAs<K extends RecordKind>(kinds: readonly K[], entry: KeptRecord): RecordContent<K> | null {
  const told = read(entry);
  if (isForgotten(told)) return null;
  if (!isOneOf(told, kinds)) throw new RecordUnreadable(entry, `it is no ${kinds.join(" and no ")}`);
  return told;
}

export const isForgotten = (told: RecordContent | Forgotten): told is Forgotten => told.data === null;

const isOneOf = <K extends RecordKind>(told: RecordContent, kinds: readonly K[]): told is RecordContent<K> =>
  kinds.some((kind) => kind === told.kind);

const mostTold = 5;

/** The place and the fault, never the value: an entry may be about people. */
function whatIsWrong({ issues }: z.ZodError): string {
  const told = issues.slice(0, mostTold).map(
    ({ path, message }) =>
      `${
        path
          .slice(path[0] === "data" ? 1 : 0)
          .map(String)
          .join("/") || "all of it"
      } ${message}`,
  );
  return [...told, ...(issues.length > mostTold ? [`and ${issues.length - mostTold} more`] : [])].join("; ");
}
