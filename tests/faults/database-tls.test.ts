// What an address asks for of TLS holds for every connection: Prisma's, those of statements and the one that listens. A real server with
// certificates made here.
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { databaseAway } from "../../src/platform/database/database-away.ts";
import { type Cluster, makeCluster, noCluster } from "../support/cluster.ts";
import { openTestServer } from "../support/database.ts";

const files = mkdtempSync(join(tmpdir(), "ferrule-tls-"));
const file = (name: string): string => join(files, name);
const openssl = (...words: string[]): void => void execFileSync("openssl", words, { cwd: files, stdio: "ignore" });

/** An authority of its own: `<name>.pem`. */
function makeAuthority(name: string): void {
  openssl(
    "req",
    "-x509",
    "-newkey",
    "ec",
    "-pkeyopt",
    "ec_paramgen_curve:P-256",
    "-nodes",
    "-subj",
    `/CN=${name}`,
    "-days",
    "30",
    ...["-keyout", `${name}.key`, "-out", `${name}.pem`],
  );
}

/** A server's certificate for these names, `<name>.crt`, signed by the authority; `dates` are those of `openssl ca`. */
function makeCertificate(name: string, names: string, dates: readonly string[] = ["-days", "30"]): void {
  openssl(
    "req",
    "-new",
    "-newkey",
    "ec",
    "-pkeyopt",
    "ec_paramgen_curve:P-256",
    "-nodes",
    "-subj",
    `/CN=${name}`,
    "-keyout",
    `${name}.key`,
    "-out",
    `${name}.csr`,
  );
  writeFileSync(file("names.cnf"), `subjectAltName=${names}\n`);
  writeFileSync(
    file("ca.cnf"),
    [
      "[ca]",
      "default_ca=one",
      "[one]",
      "database=index.txt",
      "serial=serial",
      "new_certs_dir=.",
      "default_md=sha256",
      "policy=any",
      "unique_subject=no",
      "[any]",
      "commonName=supplied",
      "",
    ].join("\n"),
  );
  openssl(
    "ca",
    "-batch",
    "-config",
    "ca.cnf",
    "-cert",
    "authority.pem",
    "-keyfile",
    "authority.key",
    "-extfile",
    "names.cnf",
    ...dates,
    "-in",
    `${name}.csr`,
    "-out",
    `${name}.crt`,
    "-notext",
  );
}

describe.skipIf(noCluster !== null)(`a PostgreSQL server with TLS (${noCluster ?? "of the test's own"})`, { timeout: 120_000 }, () => {
  let cluster: Cluster;
  beforeAll(async () => {
    writeFileSync(file("index.txt"), "");
    writeFileSync(file("serial"), "01\n");
    makeAuthority("authority");
    makeAuthority("stranger");
    makeCertificate("here", "DNS:localhost,IP:127.0.0.1");
    makeCertificate("elsewhere", "DNS:db.example.com");
    makeCertificate("expired", "DNS:localhost,IP:127.0.0.1", ["-startdate", "20200101000000Z", "-enddate", "20200201000000Z"]);
    cluster = await makeCluster();
  });
  afterAll(async () => {
    await cluster.remove();
    rmSync(files, { recursive: true, force: true });
  });

  /** The server shows this certificate from now on; null: it offers no TLS. */
  async function show(name: string | null): Promise<void> {
    if (name !== null) {
      for (const [from, to] of [
        [`${name}.crt`, "server.crt"],
        [`${name}.key`, "server.key"],
      ] as const) {
        copyFileSync(file(from), join(cluster.folder, "data", to));
        cluster.own(join(cluster.folder, "data", to));
      }
    }
    const owner = openTestServer(cluster.address(), 4, 30_000);
    await owner.rows(`ALTER SYSTEM SET ssl = ${name === null ? "off" : "on"}`);
    await owner.rows("SELECT pg_reload_conf()");
    await owner.close();
    // The server takes it over in its own time.
    const probe = async (): Promise<string> => {
      try {
        return execFileSync("openssl", ["s_client", "-starttls", "postgres", "-connect", `127.0.0.1:${cluster.port}`], {
          input: "",
          stdio: ["pipe", "pipe", "ignore"],
        }).toString();
      } catch (error) {
        return String((error as { stdout?: Buffer }).stdout ?? "");
      }
    };
    if (name === null) await expect.poll(probe).not.toContain("BEGIN CERTIFICATE");
    else await expect.poll(probe).toContain(`CN = ${name}`);
  }

  const open = (host: string, mode: string) =>
    openTestServer(`postgres://postgres@${host}:${cluster.port}/postgres?${mode}&application_name=looked-at`, 6, 30_000);

  /** Whether all connections of a service by this address are encrypted. */
  async function encrypted(host: string, mode: string): Promise<boolean> {
    const db = open(host, mode);
    try {
      const stop = await db.listen("ferrule_packs", () => undefined);
      await db.prisma.$transaction([db.prisma.$queryRawUnsafe("SELECT 1"), db.prisma.$queryRawUnsafe("SELECT 1")]);
      const held = db.prisma.$transaction((tx) => tx.$queryRawUnsafe("SELECT 1 FROM pg_sleep(0.3)"));
      const found = await db.rows<{ ssl: boolean }>(
        "SELECT ssl FROM pg_stat_ssl JOIN pg_stat_activity USING (pid) WHERE application_name = 'looked-at'",
      );
      await held;
      await stop();
      expect(found.length).toBeGreaterThan(1);
      expect(new Set(found.map((one) => one.ssl)).size).toBe(1);
      return found.every((one) => one.ssl);
    } finally {
      await db.close();
    }
  }

  /** That no way in is open, and what is said of it. */
  async function refused(host: string, mode: string): Promise<string> {
    const db = open(host, mode);
    const ways = [
      () => db.rows("SELECT 1"),
      () => db.prisma.firm.count(),
      () => db.prisma.$transaction((tx) => tx.firm.count()),
      () => db.listen("ferrule_packs", () => undefined),
    ];
    const says: string[] = [];
    for (const way of ways) {
      const failure: unknown = await way().then(
        () => null,
        (error: unknown) => error,
      );
      expect(failure).toBeInstanceOf(Error);
      expect(databaseAway(failure)).toEqual({ what: "away", nothingDone: true });
      // Prisma says before it which line of the code it was.
      says.push((failure as Error).message.trim().split("\n").at(-1) ?? "");
    }
    await db.close();
    expect(new Set(says).size, says.join("\n")).toBe(1);
    return says[0] ?? "";
  }

  const trusting = `sslrootcert=${encodeURIComponent(file("authority.pem"))}`;

  test("with a certificate for its name: each mode encrypts, and none or disable does not", async () => {
    await show("here");
    for (const mode of [
      "sslmode=require",
      `sslmode=require&${trusting}`,
      `sslmode=verify-ca&${trusting}`,
      `sslmode=verify-full&${trusting}`,
    ]) {
      expect(await encrypted("localhost", mode), mode).toBe(true);
    }
    expect(await encrypted("127.0.0.1", `sslmode=verify-full&${trusting}`)).toBe(true);
    expect(await encrypted("localhost", "sslmode=disable")).toBe(false);
    expect(await encrypted("localhost", "")).toBe(false);
  });

  test("with a certificate of an authority that nobody named: only `require` without one goes in", async () => {
    await show("here");
    const strange = `sslrootcert=${encodeURIComponent(file("stranger.pem"))}`;
    for (const mode of [
      `sslmode=require&${strange}`,
      `sslmode=verify-ca&${strange}`,
      `sslmode=verify-full&${strange}`,
      "sslmode=verify-full",
    ]) {
      expect(await refused("localhost", mode), mode).toContain("not signed by an authority");
    }
    expect(await encrypted("localhost", "sslmode=require")).toBe(true);
  });

  test("with a certificate for another host: verify-full refuses it, verify-ca does not ask", async () => {
    await show("elsewhere");
    expect(await refused("localhost", `sslmode=verify-full&${trusting}`)).toContain("another host name");
    expect(await refused("127.0.0.1", `sslmode=verify-full&${trusting}`)).toContain("another host name");
    expect(await encrypted("localhost", `sslmode=verify-ca&${trusting}`)).toBe(true);
  });

  test("with a certificate that has expired: whoever checks it refuses it", async () => {
    await show("expired");
    for (const mode of ["verify-ca", "verify-full"])
      expect(await refused("localhost", `sslmode=${mode}&${trusting}`)).toContain("has expired");
    expect(await encrypted("localhost", "sslmode=require")).toBe(true);
  });

  test("without TLS: whoever asks for it does not go in, and nobody falls back to plain", async () => {
    await show(null);
    for (const mode of ["sslmode=require", `sslmode=verify-full&${trusting}`])
      expect(await refused("localhost", mode)).toContain("offers no TLS");
    expect(await encrypted("localhost", "sslmode=disable")).toBe(false);
  });
});
