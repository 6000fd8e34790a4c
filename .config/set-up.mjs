// What a fresh clone needs before any TypeScript can run, with Node.js alone: the locked dependencies and the Prisma client.
// Each step prints what it does, and does nothing if it was done before. It prints to stderr, since stdout belongs to the command that follows.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { accessSync, constants, existsSync, lstatSync, mkdtempSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { homedir, tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const top = fileURLToPath(new URL("..", import.meta.url));
const at = (...parts) => join(top, ...parts);

function stop(message) {
  console.error(`\n${message}`);
  process.exit(1);
}

function run(command, options, environment) {
  const { status, error } = spawnSync(command, options, {
    cwd: top,
    stdio: ["inherit", process.stderr, "inherit"],
    env: { ...process.env, ...environment },
    shell: process.platform === "win32",
  });
  if (error) stop(`${command} could not be run: ${error.message}`);
  if (status !== 0) stop(`'${command} ${options.join(" ")}' failed. What it said stands above.`);
}

function hashOf(...texts) {
  const hash = createHash("sha256");
  for (const text of texts) hash.update(text);
  return hash.digest("hex");
}

const holds = (file, text) => existsSync(file) && readFileSync(file, "utf8") === text;

function needNode() {
  const [major, minor] = process.versions.node.split(".").map(Number);
  if (major < 20 || (major === 20 && minor < 19)) stop(`Ferrule needs Node.js 20.19 or newer; this is ${process.versions.node}.`);
}

/** npm needs a cache folder that it can write to; if the home folder is read-only, one among the system's temporary files is used. */
function npmCache() {
  try {
    accessSync(homedir(), constants.W_OK);
    return {};
  } catch {
    return { npm_config_cache: mkdtempSync(join(tmpdir(), "ferrule-npm-")) };
  }
}

function installDependencies(withTools) {
  // A linked folder belongs to another clone, and installing would empty it.
  if (lstatSync(at("node_modules"), { throwIfNoEntry: false })?.isSymbolicLink()) return;
  const lock = at("package-lock.json");
  const stamp = at("node_modules", ".ferrule-lock");
  const kind = withTools ? "with tools" : "without tools";
  const wanted = `${hashOf(readFileSync(lock))} ${kind}`;
  if (holds(stamp, wanted) || holds(stamp, `${hashOf(readFileSync(lock))} with tools`)) return;
  // Somebody has already installed from this lock file by hand.
  const byHand = at("node_modules", ".package-lock.json");
  const tools = existsSync(at("node_modules", "vitest"));
  if (existsSync(byHand) && !existsSync(stamp) && (tools || !withTools) && statSync(byHand).mtimeMs >= statSync(lock).mtimeMs) return;
  console.error("Installing the locked dependencies (about a minute) ...");
  run("npm", ["ci", withTools ? "--include=dev" : "--omit=dev", "--no-audit", "--no-fund", "--loglevel=error"], npmCache());
  writeFileSync(stamp, wanted);
}

function makeClient() {
  const schema = readFileSync(at("prisma", "schema.prisma"));
  const { version } = JSON.parse(readFileSync(at("node_modules", "prisma", "package.json"), "utf8"));
  const stamp = at("prisma", "client", ".made-from");
  const wanted = hashOf(schema, version);
  if (holds(stamp, wanted)) return;
  console.error("Making the Prisma client from prisma/schema.prisma ...");
  // The CLI would download an engine that 'generate' does not use; naming any existing file keeps it from trying.
  run(process.execPath, [at("node_modules", "prisma", "build", "index.js"), "generate", "--config", at(".config", "prisma.ts"), "--no-hints"], {
    PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
    PRISMA_HIDE_UPDATE_MESSAGE: "1",
    CHECKPOINT_DISABLE: "1",
  });
  writeFileSync(stamp, wanted);
}

function makePages() {
  // An image is built in layers: while dependencies are installed, the sources are not there yet.
  if (!existsSync(at("src", "web", "main.tsx"))) return;
  run(process.execPath, [at(".config", "build-pages.mjs")]);
}

/** Sets the clone up. `withTools`: also what only tests and checks need; `withPages`: false if no page will be looked at. */
export function setUp({ withTools, withPages = true }) {
  needNode();
  installDependencies(withTools);
  makeClient();
  if (withPages) makePages();
}

if (process.argv[1] === fileURLToPath(import.meta.url)) setUp({ withTools: true });
