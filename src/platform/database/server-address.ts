// The address of the PostgreSQL server, read here and nowhere else: what TLS it asks for means the same for every connection.
// Names and meanings: PostgreSQL documentation, 'Connection Strings' and 'Protection Provided in Different Modes'.
import { readFileSync } from "node:fs";
import { userInfo } from "node:os";
import { createSecureContext, type ConnectionOptions as TlsOptions } from "node:tls";

export interface ServerAddress {
  /** a name, a number, or the folder of a local socket */
  readonly host: string;
  readonly port: number;
  readonly user: string;
  /** undefined: none is sent */
  readonly password: string | undefined;
  readonly database: string;
  readonly applicationName: string;
  /** false: the connection is not encrypted */
  readonly tls: TlsOptions | false;
}

const modes = ["disable", "require", "verify-ca", "verify-full"] as const;
type Mode = (typeof modes)[number];

const parameters = [
  "host",
  "port",
  "user",
  "password",
  "dbname",
  "application_name",
  "sslmode",
  "sslrootcert",
  "sslcert",
  "sslkey",
] as const;

/** A setting that cannot be used; the sentence never repeats the address, which may hold a password. */
const unusable = (sentence: string): Error => new Error(`DATABASE_URL cannot be used. ${sentence}`);

/** Reads the address with the files that it names. Throws one sentence that says what is wrong. */
export function readServerAddress(address: string): ServerAddress {
  if (!URL.canParse(address))
    throw unusable("It is not a postgres:// address; signs such as @ or / in a password are written as %40 or %2F.");
  const url = new URL(address);
  const told = new Map<string, string>();
  for (const [name, value] of url.searchParams) {
    if (!(parameters as readonly string[]).includes(name)) throw unusable(`${name} is not known; known are ${parameters.join(", ")}.`);
    if (told.has(name)) throw unusable(`${name} is given twice.`);
    told.set(name, value);
  }
  const host = told.get("host") ?? (decode(url.hostname).replace(/^\[(.*)\]$/, "$1") || "localhost");
  if (host.includes(",")) throw unusable("It names several servers; name one, or an address that leads to the one in charge.");
  const port = Number(told.get("port") ?? (url.port || "5432"));
  if (!Number.isInteger(port) || port < 1 || port > 65_535) throw unusable("The port is a number from 1 to 65535.");
  const user = told.get("user") ?? (decode(url.username) || userInfo().username);
  return {
    host,
    port,
    user,
    password: told.get("password") ?? (decode(url.password) || undefined),
    database: told.get("dbname") ?? (decode(url.pathname.slice(1)) || user),
    applicationName: told.get("application_name") ?? "ferrule",
    tls: readTls(told, host.startsWith("/")),
  };
}

function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    throw unusable("A percent sign in a name or password is written as %25.");
  }
}

function readTls(told: ReadonlyMap<string, string>, isLocalSocket: boolean): TlsOptions | false {
  const mode = readMode(told.get("sslmode"));
  const root = told.get("sslrootcert");
  if (mode === "disable") {
    const idle = ["sslrootcert", "sslcert", "sslkey"].find((name) => told.has(name));
    if (idle !== undefined) throw unusable(`${idle} does nothing without sslmode=require, verify-ca or verify-full.`);
    return false;
  }
  // A socket in a folder of this machine is never encrypted: the server offers no TLS there.
  if (isLocalSocket) throw unusable(`sslmode=${mode} asks for TLS, and a local socket has none; leave it out or name a host.`);
  if (mode === "verify-ca" && (root === undefined || root === "system")) {
    throw unusable("sslmode=verify-ca takes sslrootcert=FILE: anybody gets a certificate from a public authority. Or use verify-full.");
  }
  const authority = root === undefined || root === "system" ? {} : { ca: fileOf("sslrootcert", root) };
  const own = ownCertificate(told);
  mustBeUsable({ ...authority, ...own });
  // Without a root certificate `require` encrypts but checks no certificate; with one it is `verify-ca`, as PostgreSQL documents it.
  if (mode === "require" && root === undefined) return { ...own, rejectUnauthorized: false };
  const anyName = mode === "verify-full" ? {} : { checkServerIdentity: () => undefined };
  return { ...authority, ...own, ...anyName, rejectUnauthorized: true };
}

function readMode(mode = "disable"): Mode {
  const known = modes.find((one) => one === mode);
  if (known) return known;
  if (mode === "prefer" || mode === "allow") {
    throw unusable(
      `sslmode=${mode} promises nothing, since whoever stands between can switch TLS off. Say disable, require, verify-ca or verify-full.`,
    );
  }
  throw unusable(`sslmode is one of ${modes.join(", ")}.`);
}

/** The client certificate of the service, if the server asks for one. */
function ownCertificate(told: ReadonlyMap<string, string>): { readonly cert?: string; readonly key?: string } {
  const [cert, key] = [told.get("sslcert"), told.get("sslkey")];
  if (cert === undefined && key === undefined) return {};
  if (cert === undefined || key === undefined) throw unusable("sslcert and sslkey are given together or not at all.");
  return { cert: fileOf("sslcert", cert), key: fileOf("sslkey", key) };
}

function fileOf(name: string, file: string): string {
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch (error) {
    throw unusable(`The file of ${name} could not be read (${(error as NodeJS.ErrnoException).code ?? "unknown"}): ${file}.`);
  }
  // A file without a certificate would count as an empty list, and then every certificate would be refused.
  if (!/-----BEGIN [A-Z0-9 ]+-----/.test(text)) throw unusable(`The file of ${name} holds nothing in PEM form: ${file}.`);
  return text;
}

function mustBeUsable(files: { readonly ca?: string; readonly cert?: string; readonly key?: string }): void {
  try {
    createSecureContext(files);
  } catch (error) {
    throw unusable(`What sslrootcert, sslcert and sslkey name does not go together: ${(error as Error).message}.`);
  }
}
