export { type KeysContext, route, routes } from "./context.ts";
export { type KeySet, makeKeys, openKeys, readKeys, signatureAlgorithm } from "./keys.ts";
export { openOwnKeys, publishedKeys } from "./known-keys.ts";
export { rotated, rotateKeys } from "./rotate-keys.ts";
export { readClaim, signClaim } from "./sign.ts";
export { holdFirm } from "./store.ts";
