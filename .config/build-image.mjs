// Puts together what an image runs: `node .config/build-image.mjs FOLDER`. Plain JavaScript in the same folders as the sources, the built
// pages, the migrations, and only the packages that this code imports. Needs a clone that is set up.
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { build } from "esbuild";
import { top } from "./set-up.mjs";

const out = resolve(process.argv[2] ?? "");
if (process.argv[2] === undefined || relative(top, out) === "") throw new Error("Name the folder to put it in.");

const filesUnder = (folder) =>
  readdirSync(join(top, folder), { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(top, join(entry.parentPath, entry.name)));

// The pages are built already; of their folder only `index.ts`, which serves them, runs here.
const ofPages = (file) => /^src\/web\/(?!index\.ts$)/.test(file);
const sources = ["src", "shared", "prisma/client"].flatMap(filesUnder).filter((file) => !ofPages(file));

/** Files are not bundled, since some find others by their path. */
const fileForFile = {
  name: "file-for-file",
  setup: ({ onResolve }) =>
    onResolve({ filter: /^\.{1,2}\// }, ({ path, kind }) => (kind === "entry-point" ? null : { path: path.replace(/\.ts$/, ".js"), external: true })),
};
const { outputFiles } = await build({
  entryPoints: sources.filter((file) => file.endsWith(".ts")).map((file) => join(top, file)),
  outbase: top,
  outdir: out,
  absWorkingDir: top,
  bundle: true,
  packages: "external",
  platform: "node",
  format: "esm",
  target: "node22",
  write: false,
  logLevel: "warning",
  plugins: [fileForFile],
});
const code = outputFiles.map(({ path, text }) => {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text);
  return text;
});
for (const file of [...sources.filter((one) => one.endsWith(".json")), "src/web/built", "prisma/migrations", "prisma/service-role.sql"]) {
  cpSync(join(top, file), join(out, file), { recursive: true });
}

const { name, version, type, engines, dependencies } = JSON.parse(readFileSync(join(top, "package.json"), "utf8"));
const isNamed = (one) => code.some((text) => text.includes(`"${one}"`) || text.includes(`"${one}/`));
const named = Object.fromEntries(Object.entries(dependencies).filter(([one]) => isNamed(one)));
writeFileSync(join(out, "package.json"), `${JSON.stringify({ name, version, private: true, type, engines, dependencies: named }, null, 2)}\n`);
copyPackages(Object.keys(named));

/** Copies these packages and their dependencies, from the places that the lock file gives. */
function copyPackages(names) {
  const { packages } = JSON.parse(readFileSync(join(top, "package-lock.json"), "utf8"));
  const taken = new Set();
  const take = (from, one, isOptional) => {
    for (let at = from; ; at = at.slice(0, Math.max(0, at.lastIndexOf("node_modules/") - 1))) {
      const place = `${at === "" ? "" : `${at}/`}node_modules/${one}`;
      if (packages[place] !== undefined) return void follow(place);
      if (at === "" && isOptional) return;
      if (at === "") throw new Error(`${one}, which ${from} needs, is not in the lock.`);
    }
  };
  const follow = (place) => {
    if (taken.has(place)) return;
    taken.add(place);
    const { dependencies: needs = {}, optionalDependencies: may = {}, peerDependencies: peers = {}, peerDependenciesMeta: meta = {} } = packages[place];
    for (const one of Object.keys(needs)) take(place, one, false);
    for (const one of Object.keys(may)) take(place, one, true);
    for (const one of Object.keys(peers)) if (!meta[one]?.optional) take(place, one, true);
  };
  for (const one of names) take("", one, false);
  // Optional packages for other systems are in the lock file, but not on this disk.
  for (const place of [...taken].filter((one) => existsSync(join(top, one)))) {
    const whole = join(top, place);
    cpSync(whole, join(out, place), { recursive: true, filter: (path) => !relative(whole, path).startsWith("node_modules") });
  }
  console.log(`${code.length} files and ${taken.size} packages are in ${out}.`);
}
