// A validator of JSON Schema that has nothing of ours in it.
import { Ajv2020 } from "ajv/dist/2020.js";

/** Says what is wrong with a value by a schema; nothing where it holds. Formats beside a pattern say the same again, and are left out. */
export function validatorOf(schema: object): (value: unknown) => string[] {
  const validate = new Ajv2020({ allErrors: true, validateFormats: false, strict: true, allowUnionTypes: true }).compile(schema);
  return (value) => (validate(value) ? [] : (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`));
}
