// The schemas of what records say, as components of the OpenAPI description: `data` of a record is one of them.
import { jsonSchemasOf } from "../../shared/records/index.ts";
import { sentenceOf } from "./kinds.ts";

/** By kind and version, such as `Record.daily-check.1`. */
export const recordComponents = (): Record<string, object> =>
  Object.fromEntries(
    jsonSchemasOf().map(({ kind, version, schema }) => {
      const { $schema: _, ...shape } = schema;
      const title = `${kind}, version ${version}`;
      return [`Record.${kind}.${version}`, { title, description: `What a record says: ${sentenceOf(kind)}`, ...shape }];
    }),
  );
