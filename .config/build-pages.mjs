// Builds the pages that the service serves: src/web into src/web/built, with a hash of the content in each name, and each file beside its
// compressed forms. Does nothing if they were built from the same sources before.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { build, version } from "esbuild";

const top = fileURLToPath(new URL("..", import.meta.url));
const web = join(top, "src", "web");
const out = join(web, "built");

const filesUnder = (folder) =>
  readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((file) => !file.startsWith(out))
    .sort();

function hashOfSources() {
  const hash = createHash("sha256").update(version);
  for (const file of [fileURLToPath(import.meta.url), join(top, "package-lock.json"), ...filesUnder(web), ...filesUnder(join(top, "shared"))]) {
    hash.update(relative(top, file)).update(readFileSync(file));
  }
  return hash.digest("hex");
}

const common = {
  bundle: true,
  minify: true,
  write: false,
  target: ["es2022", "chrome111", "firefox115", "safari16.4"],
  absWorkingDir: top,
  tsconfig: join(web, "tsconfig.json"),
  legalComments: "none",
  logLevel: "warning",
};

/** Writes a file and its compressed forms, made once here and as small as they get. */
function put(name, content) {
  const bytes = Buffer.from(content);
  const file = join(out, name);
  writeFileSync(file, bytes);
  writeFileSync(`${file}.gz`, gzipSync(bytes, { level: 9 }));
  writeFileSync(`${file}.br`, brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }));
}

/** The files that a file needs before it runs: requested together, they cost a poor link one round trip instead of one each. */
function neededBy({ outputs }, name) {
  const needed = new Set();
  const add = (path) => {
    for (const { path: next, kind } of outputs[path].imports) {
      if (kind !== "import-statement" || needed.has(next)) continue;
      needed.add(next);
      add(next);
    }
  };
  add(Object.keys(outputs).find((path) => path.endsWith(name)));
  return [...needed].map((path) => basename(path));
}

export async function buildPages() {
  const wanted = hashOfSources();
  const stamp = join(out, ".made-from");
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === wanted) return;
  console.error("Making the pages from src/web ...");

  const pages = await build({
    ...common,
    entryPoints: { main: join(web, "main.tsx"), style: join(web, "style", "index.css") },
    format: "esm",
    splitting: true,
    metafile: true,
    outdir: join(out, "pages"),
    entryNames: "[name]-[hash]",
    chunkNames: "[name]-[hash]",
    define: { "process.env.NODE_ENV": '"production"' },
  });
  const files = pages.outputFiles.map((file) => ({ name: `pages/${basename(file.path)}`, content: file.contents }));
  const named = (start, end) => files.find(({ name }) => name.startsWith(`pages/${start}-`) && name.endsWith(end))?.name;
  const main = named("main", ".js");
  const page = readFileSync(join(web, "page.html"), "utf8")
    .replace("%script%", `/${main}`)
    .replace("%style%", `/${named("style", ".css")}`)
    .replace("%preloads%", neededBy(pages.metafile, main).map((name) => `<link rel="modulepreload" href="/pages/${name}">`).join(""));
  const own = ["icon.svg", "app.webmanifest"];

  const kept = ["/", ...own.map((name) => `/${name}`), ...files.map(({ name }) => `/${name}`)];
  const worker = await build({
    ...common,
    entryPoints: [join(web, "worker.ts")],
    format: "iife",
    outdir: out,
    define: { BUILT: JSON.stringify({ version: wanted.slice(0, 16), files: kept }) },
  });

  rmSync(out, { recursive: true, force: true });
  mkdirSync(join(out, "pages"), { recursive: true });
  for (const { name, content } of files) put(name, content);
  put("page.html", page);
  put("worker.js", worker.outputFiles[0].contents);
  for (const name of own) put(name, readFileSync(join(web, name)));
  // How many bytes each source takes in each file, for the test of the size of the rider's page.
  writeFileSync(join(out, "weights.json"), JSON.stringify(pages.metafile));
  writeFileSync(stamp, wanted);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) await buildPages();
