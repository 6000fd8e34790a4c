// Browsers keep some of their tools for pages that came over https or from the device itself: the store of the pages' files, the camera,
// locks over several tabs, hashes and signatures.

/** What was asked for needs such a tool. */
export class NotOverHttps extends Error {}
