// What records say as JSON Schema (2020-12), for those who read them without this code: beside the records of an audit pack, and in /docs.
import { z } from "zod";
import { type RecordKind, recordSchema } from "./kinds.ts";
import { schemasOf } from "./read.ts";

/** What a record of this kind and version says where it was not forgotten. */
export interface RecordJsonSchema {
  readonly kind: RecordKind;
  readonly version: number;
  readonly schema: z.core.JSONSchema.JSONSchema;
}

/** Each schema is complete in itself: the named parts of contracts would become references to something outside it. */
const ownNames = z.registry<z.core.JSONSchemaMeta>();

let made: readonly RecordJsonSchema[] | undefined;

/**
 * The schemas of every kind and version, by the name of the kind; made once. They describe records as written: a member may be absent, and
 * none has a default.
 */
export const jsonSchemasOf = (): readonly RecordJsonSchema[] => {
  made ??= makeSchemas();
  return made;
};

const makeSchemas = (): RecordJsonSchema[] =>
  recordSchema.options
    .map(({ shape }) => shape.kind.value)
    .sort()
    .flatMap((kind) =>
      schemasOf(kind).map((schema, at) => ({
        kind,
        version: at + 1,
        schema: z.toJSONSchema(schema, { io: "input", target: "draft-2020-12", metadata: ownNames }),
      })),
    );
