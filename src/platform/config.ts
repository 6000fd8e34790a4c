// The environment, read once. Everything else takes the parsed value.
import ipaddr from "ipaddr.js";
import { z } from "zod";
import { defaultLimitMs } from "./database/patience.ts";

/** One connection that listens and checks the server, one for Prisma or statements, one for a stream, and one to spare. */
export const fewestConnections = 4;

const environmentSchema = z.object({
  NODE_ENV: z.enum(["development", "production", "test"]).default("development"),
  PORT: z.coerce.number().int().min(0).max(65_535).default(8080),
  HOST: z.string().min(1).default("127.0.0.1"),
  /** postgres:// address of the server, or `embedded`; outside production the embedded database is used without it */
  DATABASE_URL: z
    .string()
    .regex(/^(postgres(ql)?:\/\/|embedded$)/, "is neither a postgres:// address nor the word embedded")
    .optional(),
  /** connections to the server in total */
  DATABASE_POOL: z.coerce.number().int().min(fewestConnections).max(200).default(16),
  /** how long closing may take in total, in milliseconds; whatever stops the process waits longer than this */
  CLOSING_LIMIT_MS: z.coerce.number().int().min(1000).max(600_000).default(10_000),
  /** how long a statement may take that a person waits for, in milliseconds; to be raised on a slow server */
  DATABASE_LIMIT_MS: z.coerce.number().int().min(500).max(60_000).default(defaultLimitMs),
  FERRULE_DATA: z.string().min(1).default(".data"),
  /** JWK set with private keys, JSON; without it keys are made and kept in the data folder */
  FERRULE_KEYS: z.string().optional(),
  /** ids of keys or of a data folder that are lost for good, comma separated; a start that misses them prints these ids */
  FERRULE_GIVE_UP: z.string().optional(),
  /** whether an empty store outside production gets the demo firm; if not set, only an embedded one or one on this machine's own server does */
  FERRULE_DEMO: z.enum(["yes", "no"]).optional(),
  /** issuer and audience of access tokens */
  FERRULE_ISSUER: z.string().min(1).default("ferrule"),
  /** the firm and its first manager, for the first start in production: all three or none */
  FERRULE_FIRM_NAME: z.string().min(1).optional(),
  FERRULE_MANAGER_NUMBER: z.string().min(1).optional(),
  FERRULE_MANAGER_SECRET: z.string().min(8).optional(),
  LOG_LEVEL: z.enum(["fatal", "error", "warn", "info", "debug", "trace", "silent"]).default("info"),
  /** most calls a minute from one address, which a whole depot may share at half past five */
  RATE_LIMIT_PER_MINUTE: z.coerce.number().int().min(1).default(12_000),
  SIGN_IN_LIMIT_PER_MINUTE: z.coerce.number().int().min(1).default(300),
  /** address (http or https) of an authority that time-stamps checkpoints by RFC 3161; without it no call goes out */
  FERRULE_WITNESS_URL: z
    .string()
    .refine((value) => witnessAt(value) !== null, "is no http:// or https:// address")
    .optional(),
  /** PEM file with the trusted time-stamp authorities; without it the signer of a time-stamp is shown, but not checked */
  FERRULE_WITNESS_CA: z.string().min(1).optional(),
  /** addresses of proxies whose X-Forwarded-For is trusted, comma separated */
  TRUST_PROXY: z
    .string()
    .refine(
      (value) => value.split(",").every((one) => isProxy(one.trim())),
      "is no list of addresses, networks (10.0.0.0/8) or loopback, linklocal, uniquelocal",
    )
    .optional(),
});

/** What the first start founds if the store is empty. */
export interface FirstStart {
  readonly firmName: string;
  readonly managerNumber: string;
  readonly managerSecret: string;
}

/** The authority that time-stamps the checkpoints. */
export interface WitnessAddress {
  /** without user and password */
  readonly url: string;
  /** for the log */
  readonly host: string;
  /** the value of the Authorization header, if the address had a user in it */
  readonly authorization: string | null;
}

export interface Config {
  readonly environment: "development" | "production" | "test";
  readonly port: number;
  readonly host: string;
  readonly databaseUrl: string | null;
  readonly databasePool: number;
  readonly databaseLimitMs: number;
  /** how long closing may take; what is under way then is cut off */
  readonly closingLimitMs: number;
  readonly dataFolder: string;
  readonly keys: string | null;
  readonly giveUp: readonly string[];
  /** whether an empty store may get the demo firm */
  readonly demo: boolean;
  readonly issuer: string;
  readonly firstStart: FirstStart | null;
  readonly logLevel: string;
  readonly rateLimitPerMinute: number;
  readonly signInLimitPerMinute: number;
  readonly trustProxy: string | null;
  /** null: no witness is asked */
  readonly witness: (WitnessAddress & { readonly authorities: string | null }) | null;
}

/** Reads the environment. Throws one sentence that names every variable that is wrong. */
export function readConfig(environment: NodeJS.ProcessEnv): Config {
  // An empty variable is how a compose file or a shell says 'not set'.
  const given = Object.fromEntries(Object.entries(environment).filter(([, value]) => value !== ""));
  const parsed = environmentSchema.safeParse(given);
  if (!parsed.success) {
    const wrong = parsed.error.issues.map((issue) => `${issue.path.join(".")}: ${issue.message}`).join("; ");
    throw new Error(`The environment is not usable. ${wrong}`);
  }
  const read = parsed.data;
  if (read.NODE_ENV === "production" && read.DATABASE_URL === undefined) {
    throw new Error(
      "In production DATABASE_URL names the PostgreSQL server, and it is not set. For the embedded database, which a power cut can set back, ask by name: DATABASE_URL=embedded.",
    );
  }
  const witness = read.FERRULE_WITNESS_URL === undefined ? null : witnessAt(read.FERRULE_WITNESS_URL);
  if (witness === null && read.FERRULE_WITNESS_CA !== undefined) {
    throw new Error("FERRULE_WITNESS_CA says whose time-stamps count, and FERRULE_WITNESS_URL, which names the witness, is not set.");
  }
  const databaseUrl = read.DATABASE_URL === undefined || read.DATABASE_URL === "embedded" ? null : read.DATABASE_URL;
  const founding = [read.FERRULE_FIRM_NAME, read.FERRULE_MANAGER_NUMBER, read.FERRULE_MANAGER_SECRET] as const;
  const [firmName, managerNumber, managerSecret] = founding;
  const complete = firmName !== undefined && managerNumber !== undefined && managerSecret !== undefined;
  if (!complete && founding.some((value) => value !== undefined)) {
    throw new Error("FERRULE_FIRM_NAME, FERRULE_MANAGER_NUMBER and FERRULE_MANAGER_SECRET are given together or not at all.");
  }
  return {
    environment: read.NODE_ENV,
    port: read.PORT,
    host: read.HOST,
    databaseUrl,
    databasePool: read.DATABASE_POOL,
    databaseLimitMs: read.DATABASE_LIMIT_MS,
    closingLimitMs: read.CLOSING_LIMIT_MS,
    dataFolder: read.FERRULE_DATA,
    keys: read.FERRULE_KEYS ?? null,
    giveUp: (read.FERRULE_GIVE_UP ?? "").split(",").flatMap((id) => id.trim() || []),
    demo:
      read.NODE_ENV !== "production" &&
      (read.FERRULE_DEMO ?? (databaseUrl === null || isOfThisMachine(databaseUrl) ? "yes" : "no")) === "yes",
    issuer: read.FERRULE_ISSUER,
    firstStart: complete ? { firmName, managerNumber, managerSecret } : null,
    logLevel: read.LOG_LEVEL,
    rateLimitPerMinute: read.RATE_LIMIT_PER_MINUTE,
    signInLimitPerMinute: read.SIGN_IN_LIMIT_PER_MINUTE,
    trustProxy: read.TRUST_PROXY ?? null,
    witness: witness && { ...witness, authorities: read.FERRULE_WITNESS_CA ?? null },
  };
}

/** A part of an address, decoded; unchanged if it cannot be decoded. */
function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

/** The witness at an address; null if the address cannot be used. */
function witnessAt(address: string): WitnessAddress | null {
  const url = URL.canParse(address) ? new URL(address) : null;
  if (url === null || !["http:", "https:"].includes(url.protocol)) return null;
  const { username, password, host } = url;
  const user = `${decoded(username)}:${decoded(password)}`;
  Object.assign(url, { username: "", password: "", hash: "" });
  return { url: url.href, host, authorization: user === ":" ? null : `Basic ${Buffer.from(user).toString("base64")}` };
}

/** Whether this names a proxy or a network of proxies, in a form that Fastify's own package accepts. */
function isProxy(one: string): boolean {
  if (["loopback", "linklocal", "uniquelocal"].includes(one)) return true;
  // Four parts are required: a lone number is a valid address too, but here somebody more likely means the number of proxies.
  const [address = ""] = one.split("/");
  if (!ipaddr.IPv4.isValidFourPartDecimal(address) && !ipaddr.IPv6.isValid(address)) return false;
  return !one.includes("/") || ipaddr.isValidCIDR(one);
}

/** Whether an address names a server on this very machine. */
function isOfThisMachine(address: string): boolean {
  const url = URL.canParse(address) ? new URL(address) : null;
  const hosts = url === null ? ["?"] : (url.searchParams.get("host") ?? decodeURIComponent(url.hostname)).split(",");
  return hosts.every((host) => host === "" || host.startsWith("/") || /^(localhost|127(\.\d+){3}|\[::1\])$/i.test(host));
}
