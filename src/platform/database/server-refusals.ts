// Why the server could not be reached, in words for whoever runs the service. Of the address it repeats only what is wrong with it.

const notSigned = "its certificate is not signed by an authority that sslrootcert names";

const says: Readonly<Record<string, string>> = {
  ECONNREFUSED: "nobody listens at its address",
  EHOSTUNREACH: "there is no way to its host",
  ENETUNREACH: "there is no way to its host",
  ENOTFOUND: "the name of its host is not known",
  EAI_AGAIN: "the name of its host could not be looked up",
  ENOENT: "there is no local socket of it",
  // Node.js, 'X509 certificate error codes'.
  SELF_SIGNED_CERT_IN_CHAIN: notSigned,
  DEPTH_ZERO_SELF_SIGNED_CERT: notSigned,
  UNABLE_TO_VERIFY_LEAF_SIGNATURE: notSigned,
  UNABLE_TO_GET_ISSUER_CERT: notSigned,
  UNABLE_TO_GET_ISSUER_CERT_LOCALLY: notSigned,
  CERT_SIGNATURE_FAILURE: notSigned,
  CERT_UNTRUSTED: notSigned,
  CERT_HAS_EXPIRED: "its certificate has expired",
  CERT_NOT_YET_VALID: "its certificate is not valid yet",
  ERR_TLS_CERT_ALTNAME_INVALID: "its certificate is for another host name, and sslmode=verify-full asks for this one",
  // PostgreSQL documentation, appendix A.
  "28P01": "it refuses the password",
  "28000": "it refuses the user, or a connection like this one",
  "3D000": "it has no database of that name",
  "53300": "it has no connection left",
  "57P03": "it is starting or closing",
};

/** A clause that goes on from 'the database was not reached: '. */
export function whyNotReached(error: unknown): string {
  const { code, message } = error as { readonly code?: string; readonly message?: string };
  // The driver gives this one no code.
  if (message === "The server does not support SSL connections") return "it offers no TLS, and sslmode asks for it";
  return says[code ?? ""] ?? (message || code || "for no reason that was told");
}
