// The files themselves: nothing left half done, nothing tied to one machine, nothing too long to read, and commands that exist.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { documents, filesOf, top } from "../support/sources.ts";

const code = filesOf(["src", "shared", "seeds", "tests"]);
const self = "tests/house/texts.test.ts";
const texts = [...code, ...filesOf([".config"], ".mjs"), ...filesOf(["prisma"], ".sql"), ...filesOf(["prisma"], ".prisma")].filter(
  ({ path }) => path !== self,
);
const scripts: Readonly<Record<string, string>> = JSON.parse(readFileSync(join(top, "package.json"), "utf8")).scripts;
const papers = documents();

const linesWith = (pattern: RegExp, files: readonly { path: string; text: string }[]): string[] =>
  files.flatMap(({ path, text }) =>
    text.split("\n").flatMap((line, index) => (pattern.test(line) ? [`${path}:${index + 1} ${line.trim().slice(0, 80)}`] : [])),
  );

describe("the files", () => {
  test("leave nothing marked as to be done", () => {
    expect(linesWith(/\b(TODO|FIXME|XXX|HACK)\b/, [...texts, ...papers])).toEqual([]);
  });

  test("skip no test and single none out", () => {
    expect(linesWith(/\b(test|it|describe|suite)\.(only|skip|todo|fails)\b|\bx(it|test|describe)\(/, code)).toEqual([]);
  });

  test("name no folder of one machine and no address of a registry", () => {
    const places = /(^|[\s"'`(=])\/(home|root|Users|work|mnt|opt|srv)\/\w|[A-Z]:\\\\|registry\.npmjs|localhost:4873/;
    expect(linesWith(places, [...texts, ...papers])).toEqual([]);
    const lock = readFileSync(join(top, "package-lock.json"), "utf8");
    expect(lock).not.toMatch(/"resolved":/);
  });

  test("are short enough to be read in one go", () => {
    const tooLong = code.flatMap(({ path, text }) => {
      const [lines, most] = [text.split("\n").length - 1, path.startsWith("tests/") ? 420 : 350];
      return lines > most ? [`${path} has ${lines} lines, ${most} are allowed`] : [];
    });
    expect(tooLong).toEqual([]);
  });

  test("hold no secret key and no token", () => {
    expect(
      linesWith(/-----BEGIN [A-Z ]*PRIVATE KEY-----|\bnpm_[A-Za-z0-9]{30,}|\bgh[pousr]_[A-Za-z0-9]{30,}/, [...texts, ...papers]),
    ).toEqual([]);
  });
});

describe("the documents", () => {
  test("name only files that are there", () => {
    const named = papers.flatMap(({ path, text }) =>
      [...text.matchAll(/`((?:\.?[\w-]+\/)*[\w.-]+\.(?:ts|tsx|mjs|py|md|sql|yml))`/g)].map((match) => ({ path, file: match[1] ?? "" })),
    );
    expect(named.length).toBeGreaterThan(100);
    const there = [...filesOf(["src", "shared", "seeds", "tests", "prisma", ".config"], ""), ...papers].map(({ path }) => `/${path}`);
    expect(named.filter(({ file }) => !existsSync(join(top, file)) && !there.some((path) => path.endsWith(`/${file}`)))).toEqual([]);
  });

  test("for the first hour can be read in ten minutes", () => {
    const guide = papers.find(({ path }) => path === "DEVELOPERS.md")?.text ?? "";
    expect(Buffer.byteLength(guide), "bytes of DEVELOPERS.md").toBeLessThanOrEqual(8.5 * 1024);
  });
});

describe("the commands", () => {
  test("that a document names exist in package.json", () => {
    const named = papers.flatMap(({ path, text }) =>
      [...text.matchAll(/\bnpm (?:run ([a-z][\w:-]*)|(start|test)\b)/g)].map((match) => ({ path, script: match[1] ?? match[2] ?? "" })),
    );
    expect(named.filter(({ script }) => !(script in scripts))).toEqual([]);
  });

  test("README.md begins with the job and names the two commands", () => {
    const readme = papers.find(({ path }) => path === "README.md")?.text ?? "";
    expect(readme).toMatch(/^# Ferrule\n\n\S/);
    expect(readme).toContain("npm start");
    expect(readme).toContain("npm test");
  });

  test("of package.json run files that are there", () => {
    const named = Object.values(scripts).flatMap((script) =>
      [...script.matchAll(/(?:^| )((?:\.config|src)\/[\w./-]+\.(?:mjs|ts|json))/g)].map((match) => match[1] ?? ""),
    );
    expect(named.length).toBeGreaterThan(3);
    for (const file of named) expect(() => readFileSync(join(top, file)), file).not.toThrow();
  });
});
