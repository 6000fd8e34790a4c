// The shapes of what a pack's records say, for those who read them without this service.
import { jsonSchemasOf } from "../../shared/records/index.ts";
import { canonical } from "../platform/index.ts";

/** Packs from before 2026-11-30 do not have it and are valid all the same. */
export const schemaFile = "schemas.ndjson";

/** The name of a record's kind and version. */
export const shapeOf = ({ kind, version }: { readonly kind: string; readonly version: number }): string => `${kind} ${version}`;

/** The schema of each of these kinds and versions, a line each, sorted by kind. */
export const schemaLines = (shapes: ReadonlySet<string>): string[] =>
  jsonSchemasOf()
    .filter((one) => shapes.has(shapeOf(one)))
    .map((one) => `${canonical(one)}\n`);
