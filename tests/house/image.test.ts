// docker-compose.yml: what it promises of the image, and the steps that build it, run here without Docker as far as they go: on the files
// that .dockerignore lets through, with the packages that are installed already.
import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
// A reader of YAML that the service's description of its calls brings along.
import { parse } from "yaml";

interface Part {
  readonly image?: string;
  readonly build?: { readonly dockerfile_inline: string };
  readonly command?: readonly string[];
  readonly environment?: Readonly<Record<string, string>>;
  readonly healthcheck?: { readonly test: readonly string[] };
  readonly [setting: string]: unknown;
}

const top = new URL("../../", import.meta.url).pathname;
const compose = parse(readFileSync(join(top, "docker-compose.yml"), "utf8"), { merge: true }) as {
  readonly services: Record<string, Part>;
};
const part = (name: string): Part => {
  const found = compose.services[name];
  if (!found) throw new Error(`there is no ${name} in docker-compose.yml`);
  return found;
};

/** The instructions of the build and of what runs, a line each. */
const stages = (part("prepare").build?.dockerfile_inline ?? "")
  .split(/^(?=FROM )/m)
  .map((stage) => stage.split("\n").filter((line) => line.trim() !== ""));

// The last pattern that matches decides, `*` stands for names with a dot in front too, and what matches a folder covers what is in it
// (Docker's documentation of .dockerignore files).
const asExpression = (glob: string): RegExp => {
  const inner = glob
    .replaceAll(/[.+^$()|[\]{}\\]/g, "\\$&")
    .replaceAll("**/", "<any>")
    .replaceAll("*", "[^/]*")
    .replaceAll("<any>", "(.*/)?");
  return new RegExp(`^${inner}(/|$)`);
};
const patterns = readFileSync(join(top, ".dockerignore"), "utf8")
  .split("\n")
  .filter((line) => line !== "" && !line.startsWith("#"))
  .map((line) => ({ keeps: line.startsWith("!"), expression: asExpression(line.replace(/^!/, "")) }));
const isSent = (path: string): boolean => patterns.findLast(({ expression }) => expression.test(path))?.keeps ?? true;

test.each([
  ".env",
  ".env.production",
  "src/.env",
  "shared/.env.local",
  ".data/keys.json",
  "src/keys.json",
  ".data/photos/ab/cd",
  "trial-key.pem",
  "prisma/own.key",
])("%s does not come into the image", (path) => expect(isSent(path)).toBe(false));

test("of this folder the image gets what it is built from, and no tests, history, data or packages", () => {
  const sent = readdirSync(top).filter(isSent).sort();
  expect(sent).toEqual([".config", ".npmrc", "package-lock.json", "package.json", "prisma", "shared", "src", "tsconfig.json"]);
  for (const path of ["src/main.ts", "shared/words/en/reports.ts", "prisma/migrations/migration_lock.toml"])
    expect(isSent(path), path).toBe(true);
  for (const path of ["prisma/client/client.ts", "src/web/built/main.js"]) expect(isSent(path), path).toBe(false);
});

describe("what runs", () => {
  test.each(["prepare", "service"])("%s has a root that cannot be written to, no capability, and can gain none", (name) => {
    expect(part(name)).toMatchObject({ read_only: true, cap_drop: ["ALL"], security_opt: ["no-new-privileges:true"] });
  });

  test.each(["database", "prepare", "service"])("%s is limited in memory, processes and log", (name) => {
    expect(part(name)).toMatchObject({
      mem_limit: expect.stringMatching(/^\d+[mg]$/),
      pids_limit: expect.any(Number),
      logging: { driver: "json-file", options: { "max-size": "10m", "max-file": "5" } },
    });
  });

  test("the service runs on a role that is not the owner of the database, after a step that prepares it, and knows no password of the owner's", () => {
    const owner = String(part("database").environment?.["POSTGRES_USER"]);
    const role = part("prepare").environment?.["FERRULE_SERVICE_ROLE"];
    expect(new URL(String(part("prepare").environment?.["DATABASE_URL"])).username).toBe(owner);
    expect(new URL(String(part("service").environment?.["DATABASE_URL"])).username).toBe(role);
    expect(role).not.toBe(owner);
    expect(JSON.stringify(part("service"))).not.toContain("FERRULE_DATABASE_PASSWORD");
    expect(part("service")).toMatchObject({
      image: part("prepare").image,
      depends_on: { prepare: { condition: "service_completed_successfully" } },
    });
  });

  test("the last stage gets its files from the build alone, owned by root, and ends as a user of its own whose one place is the data volume", () => {
    const last = stages.at(-1) ?? [];
    expect(stages).toHaveLength(2);
    expect(last.filter((line) => line.startsWith("COPY"))).toEqual(["COPY --from=build /ferrule /ferrule"]);
    expect(last.filter((line) => line.includes("chown"))).toEqual(["RUN mkdir -p /data && chown node:node /data"]);
    expect(last.slice(-2)).toEqual(["USER node", 'CMD ["node", "src/main.js"]']);
    expect(part("service")).toMatchObject({ volumes: ["data:/data"], environment: { NODE_ENV: "production", FERRULE_DATA: "/data" } });
  });
});

/** What a thread of that service draws for its first manager, once they have a secret of their own. */
async function firstPaper(url: string): Promise<Buffer> {
  const call = async (method: string, path: string, token: string | null, body?: object): Promise<Response> => {
    const answer = await fetch(`${url}${path}`, {
      method,
      headers: { ...(token ? { authorization: `Bearer ${token}` } : {}), ...(body ? { "content-type": "application/json" } : {}) },
      ...(body ? { body: JSON.stringify(body) } : {}),
    });
    if (!answer.ok) throw new Error(`${path}: ${await answer.text()}`);
    return answer;
  };
  const secrets = { current: "a long secret", secret: "a secret of my own" };
  const signIn = await call("POST", "/v1/sign-in", null, { staffNumber: "F1", secret: secrets.current });
  const { accessToken } = (await signIn.json()) as { accessToken: string };
  await call("PUT", "/v1/me/secret", accessToken, secrets);
  const depot = { name: "A Depot", timeZone: "Europe/London", ruleSet: "gb", workshopHoursPerDay: 8 };
  const added = (await (await call("POST", "/v1/depots", accessToken, depot)).json()) as { id: string };
  const paper = await call("GET", `/v1/reports/roadworthiness.pdf?depotId=${added.id}`, accessToken);
  return Buffer.from(await paper.arrayBuffer());
}

describe("the steps of the build", () => {
  const folder = mkdtempSync(join(tmpdir(), "ferrule-image-"));
  const [context, built, image] = ["context", "build", "ferrule"].map((name) => join(folder, name)) as [string, string, string];
  const inImage = (...parts: string[]): string => join(image, ...parts);

  const listing = (): string[] =>
    readdirSync(image, { recursive: true, encoding: "utf8" }).map((file) => `${file} ${statSync(inImage(file)).mtimeMs}`);

  beforeAll(() => {
    const files = execFileSync("git", ["ls-files", "--cached", "--others", "--exclude-standard"], { cwd: top, encoding: "utf8" });
    for (const file of files.split("\n").filter((one) => one !== "" && isSent(one) && existsSync(join(top, one)))) {
      cpSync(join(top, file), join(context, file));
    }
    for (const line of stages[0] ?? []) {
      const [, instruction, rest = ""] = /^([A-Z]+) (.*)$/.exec(line) ?? [];
      if (instruction === "COPY") {
        const places = rest.split(" ");
        const to = places.pop() ?? ".";
        for (const from of places) cpSync(join(context, from), join(built, to.endsWith("/") ? `${to}${from}` : to), { recursive: true });
        // Installed already: what the first step would fetch.
        if (!existsSync(join(built, "node_modules"))) symlinkSync(join(top, "node_modules"), join(built, "node_modules"));
      } else if (instruction === "RUN") {
        execFileSync("bash", ["-ec", rest.replaceAll(" /ferrule", ` ${image}`)], { cwd: built, stdio: "pipe" });
      } else if (instruction !== "FROM" && instruction !== "WORKDIR") {
        throw new Error(`this test does not know ${line}`);
      }
    }
  }, 900_000);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  test("leave plain JavaScript, with no sources, no tools and nothing that only makes it", () => {
    const files = readdirSync(image, { recursive: true, encoding: "utf8" });
    const own = files.filter((file) => !file.startsWith("node_modules"));
    expect(own.filter((file) => /\.tsx?$/.test(file))).toEqual([]);
    expect(own).toEqual(expect.arrayContaining(["src/main.js", "src/prepare.js", "src/audit/verify.js", "src/web/built/page.html"]));
    const packages = readdirSync(inImage("node_modules"));
    expect(
      packages.filter((name) => ["esbuild", "prisma", "tsx", "typescript", "vitest", "oxlint", "@biomejs", "preact"].includes(name)),
    ).toEqual([]);
  });

  test("leave every package that a package in it needs", () => {
    const manifests = readdirSync(image, { recursive: true, encoding: "utf8" }).filter((file) =>
      /^package\.json$|node_modules\/(@[^/]+\/)?[^/]+\/package\.json$/.test(file),
    );
    const isThere = (from: string, name: string): boolean =>
      existsSync(join(from, "node_modules", name)) || (from !== image && isThere(dirname(from), name));
    const lacking = manifests.flatMap((file) => {
      const { dependencies = {} } = JSON.parse(readFileSync(inImage(file), "utf8")) as { dependencies?: object };
      return Object.keys(dependencies).filter((name) => !isThere(dirname(inImage(file)), name));
    });
    expect(manifests.length).toBeGreaterThan(100);
    expect(lacking).toEqual([]);
  });

  test("leave a service that starts as the image starts it, is found healthy by its own check, serves its page, draws a paper on a thread, writes nothing beside its data, and stops with success", async () => {
    const before = listing();
    const [command = "", ...options] = JSON.parse(/^CMD (.*)$/.exec(stages.at(-1)?.at(-1) ?? "")?.[1] ?? "[]") as string[];
    const child = spawn(command, options, {
      cwd: image,
      env: {
        ...{ PATH: process.env["PATH"], NODE_ENV: "production", PORT: "0", LOG_LEVEL: "warn" },
        ...{ FERRULE_DATA: join(folder, "data"), DATABASE_URL: "embedded" },
        ...{ FERRULE_FIRM_NAME: "A Firm", FERRULE_MANAGER_NUMBER: "F1", FERRULE_MANAGER_SECRET: "a long secret" },
      },
      stdio: ["ignore", "pipe", "inherit"],
    });
    const url = await new Promise<string>((found, failed) => {
      child.once("exit", (code) => failed(new Error(`it ended with ${code}`)));
      createInterface({ input: child.stdout }).on("line", (line) => {
        const address = /Ferrule is at (\S+)/.exec(line)?.[1];
        if (address) found(address);
      });
    });
    const [, program = "", ...words] = part("service").healthcheck?.test ?? [];
    execFileSync(
      program,
      words.map((word) => word.replace("http://127.0.0.1:8080", url)),
    );
    expect(await (await fetch(url)).text()).toContain("<!doctype html>");
    expect((await firstPaper(url)).subarray(0, 5).toString()).toBe("%PDF-");
    const ended = once(child, "exit");
    child.kill("SIGTERM");
    expect(await ended).toEqual([0, null]);
    expect(listing()).toEqual(before);
  });
});
