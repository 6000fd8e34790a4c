// Nothing is kept for tests alone: whatever a file hands out is used by the service, the pages or the demo.
import { describe, expect, test } from "vitest";
import { filesOf, type SourceFile } from "../support/sources.ts";

/** Without comments, and without what is only handed on. */
const told = ({ text }: SourceFile): string =>
  text
    .replace(/\/\*[\s\S]*?\*\//g, "")
    .replace(/^\s*\/\/.*$/gm, "")
    .replace(/^export (type )?\{[^}]*\} from "[^"]+";/gm, "");

const wordsOf = (file: SourceFile): string[] => [...told(file).matchAll(/[A-Za-z_$][\w$]*/g)].map(([word]) => word);

const code = filesOf(["src", "shared", "seeds"]).map((file) => {
  const words = wordsOf(file);
  return { ...file, words: new Set(words), repeated: new Set(words.filter((word, at) => words.indexOf(word) !== at)) };
});
const roomOf = (path: string): string => path.split("/").slice(0, 2).join("/");

describe("what is handed out is used", () => {
  test("by a file: somewhere in the file itself, or in another that is no test", () => {
    const exported = /^export (?:async )?(?:const|let|function\*?|class|interface|type) ([A-Za-z_$][\w$]*)/gm;
    const unused = code.flatMap((file) =>
      [...told(file).matchAll(exported)].flatMap(([, name = ""]) => {
        const isUsed = file.repeated.has(name) || code.some((other) => other !== file && other.words.has(name));
        return isUsed ? [] : [`${file.path}: ${name}`];
      }),
    );
    expect(unused).toEqual([]);
  });

  test("by a room: somewhere outside of it, a test or not", () => {
    const outside = [...code, ...filesOf(["tests"]).map((file) => ({ ...file, words: new Set(wordsOf(file)) }))];
    const unused = code
      .filter(({ path }) => /^src\/[a-z]+\/index\.ts$/.test(path))
      .flatMap(({ path, text }) =>
        [...text.matchAll(/^export (?:type )?\{([^}]*)\} from/gm)]
          .flatMap(([, names = ""]) => names.split(",").map((name) => name.replace(/\btype\b|[\s]/g, "")))
          .filter((name) => name !== "" && !outside.some((file) => roomOf(file.path) !== roomOf(path) && file.words.has(name)))
          .map((name) => `${path}: ${name}`),
      );
    expect(unused).toEqual([]);
  });
});
