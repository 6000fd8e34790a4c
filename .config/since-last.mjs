// Which files changed since a check last passed, and which import them: for a check that is too slow to run on all files.
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join, normalize } from "node:path";
import { top } from "./set-up.mjs";

const hashOf = (text) => createHash("sha256").update(text).digest("hex");
const isCode = (path) => /\.tsx?$/.test(path) && !path.startsWith("src/web/built/");

/**
 * The files of these folders that have to be checked again. `record` is the file in which `keep` notes that they passed; if one of `settings` has
 * changed since, or nothing was noted, that is all of them.
 */
export function sinceLast(folders, record, settings) {
  const texts = new Map();
  for (const folder of folders) {
    for (const entry of readdirSync(join(top, folder), { recursive: true })) {
      const path = normalize(join(folder, String(entry))).replaceAll("\\", "/");
      if (isCode(path)) texts.set(path, readFileSync(join(top, path), "utf8"));
    }
  }
  const now = {
    settings: hashOf(settings.map((path) => readFileSync(join(top, path), "utf8")).join("\n")),
    files: Object.fromEntries([...texts].map(([path, text]) => [path, hashOf(text)])),
  };
  const before = existsSync(record) ? JSON.parse(readFileSync(record, "utf8")) : { settings: "", files: {} };
  const changed = now.settings === before.settings ? [...texts.keys()].filter((path) => now.files[path] !== before.files[path]) : [...texts.keys()];
  return { files: withImporters(changed, texts), keep: () => writeFileSync(record, JSON.stringify(now)) };
}

/** Adds the files that import a changed one; a change that a room's index.ts exports counts for the importers of that index.ts. */
function withImporters(changed, texts) {
  const importers = new Map();
  for (const [path, text] of texts) {
    for (const [, named] of text.matchAll(/from "(\.[^"]+)"/g)) {
      const target = normalize(join(dirname(path), named)).replaceAll("\\", "/");
      importers.set(target, [...(importers.get(target) ?? []), path]);
    }
  }
  const found = new Set(changed);
  for (const path of changed) {
    for (const importer of importers.get(path) ?? []) {
      found.add(importer);
      if (importer.endsWith("/index.ts")) for (const beyond of importers.get(importer) ?? []) found.add(beyond);
    }
  }
  return [...found];
}
