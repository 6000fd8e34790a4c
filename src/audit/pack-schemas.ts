// The shapes of what a pack's records say, for those who read them without this service.
import { jsonSchemasOf } from "../../shared/records/index.ts";
import { canonical } from "../platform/index.ts";

/** It was not there before 2026-11-30; a pack without it is as good. */
export const schemaFile = "schemas.ndjson";

/** A kind and version that a record of the pack has. */
export const shapeOf = ({ kind, version }: { readonly kind: string; readonly version: number }): string => `${kind} ${version}`;

/** A line for each of these kinds and versions, by the names of the kinds. */
export const schemaLines = (shapes: ReadonlySet<string>): string[] =>
  jsonSchemasOf()
    .filter((one) => shapes.has(shapeOf(one)))
    .map((one) => `${canonical(one)}\n`);
