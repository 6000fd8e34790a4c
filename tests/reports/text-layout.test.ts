import { describe, expect, it } from "vitest";
import { breakPieces, layOut, settable, type TextMeasure } from "../../src/pdf/text-layout.ts";

/** Every character is 1 wide at size 1; Latin, Cyrillic and Thai are covered. */
const measure: TextMeasure = {
  widthOf: (_, text, sizePt) => Array.from(text).length * sizePt,
  covers: (font, character) =>
    font.startsWith("thai")
      ? /[\p{Script=Thai} ]/u.test(character)
      : /[\p{Script=Latin}\p{Script=Cyrillic}\p{P}\p{N} \u00a0\ufffd]/u.test(character),
};
const style = { sizePt: 1, bold: false };
const linesOf = (text: string, width: number): string[] =>
  layOut(text, width, style, measure).map((line) => line.runs.map((run) => run.text).join(""));

describe("text on paper", () => {
  it("breaks between words and keeps every line within the width", () => {
    expect(linesOf("the front brake cable is frayed", 12)).toEqual(["the front", "brake cable", "is frayed"]);
  });

  it("breaks a word that is wider than the line, and loses no letter of it", () => {
    const lines = linesOf(`a ${"x".repeat(25)} b`, 10);
    expect(lines.every((line) => line.length <= 10)).toBe(true);
    expect(lines.join("").replaceAll(" ", "")).toBe(`a${"x".repeat(25)}b`);
  });

  it("never breaks a day, a number with a hyphen, or where a no-break space says so", () => {
    expect(breakPieces("on 2026-07-14 at 12\u00a0mm")).toEqual(["on ", "2026-07-14 ", "at ", "12\u00a0mm"]);
  });

  it("may break a double name after its hyphen", () => {
    expect(breakPieces("Stone-Hill")).toEqual(["Stone-", "Hill"]);
  });

  it("breaks Thai between its words, which are written without spaces", () => {
    // 'rear tyre, soft': the dictionary's own words, joined as they are written.
    const words = ["\u0e22\u0e32\u0e07", "\u0e2b\u0e25\u0e31\u0e07", "\u0e2d\u0e48\u0e2d\u0e19"];
    const pieces = breakPieces(words.join(""));
    expect(pieces.length).toBeGreaterThan(1);
    expect(pieces.join("")).toBe(words.join(""));
  });

  it("sets Thai and Latin in one line in a font that has the letters of each", () => {
    const [line] = layOut("Somchai \u0e2a\u0e21\u0e0a\u0e32\u0e22 M002", 100, { sizePt: 1, bold: true }, measure);
    expect(line?.runs.map((run) => run.font)).toEqual(["text-bold", "thai-bold", "text-bold"]);
  });

  it("shows a sign where no font has the letter, and never fails on odd input", () => {
    expect(settable("\u6f22 ok", false, measure)).toBe("\ufffd ok");
    for (const odd of ["", "\ud800", "\u0000\u0007", "\u202eevil\u202c", "\u0301", "\u{1f6f5}", "e\u0301", "\r\n\r\n", "a\u2028b"]) {
      expect(() => layOut(odd, 5, style, measure)).not.toThrow();
    }
  });

  it("drops characters that could turn a line round, and joins letters with their accents", () => {
    expect(settable("KX\u202e21\u2066ABC", false, measure)).toBe("KX21ABC");
    expect(settable("Zoe\u0308", false, measure)).toBe("Zo\u00eb");
  });
});
