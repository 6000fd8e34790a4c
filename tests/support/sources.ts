// The project's own files, read as text, for the checks of the house.
import { readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";

export const top = fileURLToPath(new URL("../../", import.meta.url));

export interface SourceFile {
  /** from the top of the project, with slashes */
  readonly path: string;
  readonly text: string;
}

const notOurs = new Set(["node_modules", "client", "dist", "built", ".data", ".git"]);

function* walk(folder: string): Generator<string> {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    if (notOurs.has(entry.name)) continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) yield* walk(path);
    else yield path;
  }
}

/** Files under these folders of the project whose names end like that: TypeScript, the pages' too, unless said otherwise. */
export function filesOf(folders: readonly string[], ending: string | readonly string[] = [".ts", ".tsx"]): SourceFile[] {
  const endings = [ending].flat();
  return folders
    .flatMap((folder) => [...walk(join(top, folder))])
    .filter((path) => endings.some((one) => path.endsWith(one)))
    .map((path) => ({ path: relative(top, path).split(sep).join("/"), text: readFileSync(path, "utf8") }))
    .sort((a, b) => (a.path < b.path ? -1 : 1));
}

/** What a file imports or hands on, as written: by `from`, for its effect, or when it runs. */
export function importsOf({ text }: SourceFile): string[] {
  const code = text.replace(/^\s*(\/\/|\/?\*).*$/gm, "");
  const patterns = [/\bfrom\s+"([^"]+)"/g, /^\s*import\s+"([^"]+)"/gm, /\bimport\(\s*"([^"]+)"/g];
  return patterns.flatMap((pattern) => [...code.matchAll(pattern)].map((match) => match[1] ?? ""));
}

/** The documents: at the top of the project, and beside what they tell of. */
export const documents = (): SourceFile[] => [
  ...readdirSync(top)
    .filter((name) => name.endsWith(".md"))
    .map((path) => ({ path, text: readFileSync(join(top, path), "utf8") })),
  ...filesOf(["src", "shared", "prisma", "tests"], ".md"),
];
