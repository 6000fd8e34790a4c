// Browsers allow some functions only to pages that came over https or from the device itself: service workers, the camera, locks across tabs,
// hashes and signatures.

/** Thrown by what needs such a function. */
export class NotOverHttps extends Error {}
