import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkVin, normaliseMark, vinCheckDigit } from "../../shared/rules/identity.ts";

describe("identification numbers", () => {
  test.each([
    ["1M8GDM9A?KP042788", "X"], // 49 CFR 565.15(c): sum 351, remainder 10
    ["1G4AH59H?5G118341", "4"], // 49 CFR 565.15, Table V of the earlier text: sum 411
    ["1J9RP1A3?A1644345", "6"], // NHTSA, outline for new manufacturers, p. 18: sum 314
  ])("%s takes the check digit %s", (pattern, digit) => {
    expect(vinCheckDigit(pattern.replace("?", "0"))).toBe(digit);
    expect(checkVin(pattern.replace("?", digit))).toEqual({ ok: true, vin: pattern.replace("?", digit), warnings: [] });
  });

  test("a wrong check digit only warns", () => {
    // ISO 3779 has no check digit; 49 CFR 565.15 is North American
    expect(checkVin("1M8GDM9A1KP042788")).toEqual({ ok: true, vin: "1M8GDM9A1KP042788", warnings: ["check-digit-mismatch"] });
  });

  test("length and alphabet refuse", () => {
    // ISO 3779, 49 CFR 565.13: 17 characters without I, O, Q
    expect(checkVin("1M8GDM9AXKP04278")).toEqual({ ok: false, why: "length" });
    expect(checkVin("")).toEqual({ ok: false, why: "length" });
    for (const letter of ["I", "O", "Q", "i", "o", "q", "ı", "ß", "А", "-", "１"]) {
      expect(checkVin(`1M8GDM9AXKP04278${letter}`), letter).toEqual({ ok: false, why: "character" });
    }
    expect(() => vinCheckDigit("short")).toThrow(RangeError);
  });

  test("small letters and spaces are tidied", () => {
    expect(checkVin(" 1m8g dm9a xkp0 42788 ")).toEqual({ ok: true, vin: "1M8GDM9AXKP042788", warnings: [] });
  });

  test("what looks made up is asked about, though its check digit fits", () => {
    // 49 CFR 565.15: a row of one digit d has the sum 89 d, and 89 leaves 1 when divided by 11: the check digit is d.
    for (const digit of "0123456789") {
      expect(vinCheckDigit(digit.repeat(17)), digit).toBe(digit);
      expect(checkVin(digit.repeat(17)), digit).toEqual({ ok: true, vin: digit.repeat(17), warnings: ["made-up"] });
    }
    for (const vin of [
      "X".repeat(17),
      "12345678901234567",
      "AB1AB1AB1AB1AB1AB",
      "12121212121212121",
      "ABCDEFGHJKLMNPRST",
      "TESTVP47KP0427881",
    ])
      expect(checkVin(vin), vin).toMatchObject({ ok: true, warnings: expect.arrayContaining(["made-up"]) });
  });

  test("what may well be true is not: serial numbers that count up or begin with zeros, and the published samples", () => {
    for (const vin of ["1M8GDM9AXKP012345", "LBPKE1299B0000012", "ME4KC09CXA8123456", "1G4AH59H45G118341", "1J9RP1A36A1644345"])
      expect(checkVin(vin), vin).toMatchObject({ ok: true, warnings: expect.not.arrayContaining(["made-up"]) });
  });

  test("any single digit typed wrongly is noticed", () => {
    const places = [0, 1, 2, 3, 4, 5, 6, 7, 9, 10, 11, 12, 13, 14, 15, 16];
    fc.assert(
      fc.property(fc.stringMatching(/^[0-9]{17}$/), fc.constantFrom(...places), fc.integer({ min: 1, max: 9 }), (digits, place, step) => {
        const vin = digits.slice(0, 8) + vinCheckDigit(digits) + digits.slice(9);
        const wrong = vin.slice(0, place) + String((Number(vin.charAt(place)) + step) % 10) + vin.slice(place + 1);
        expect(checkVin(wrong)).toMatchObject({ ok: true, warnings: expect.arrayContaining(["check-digit-mismatch"]) });
      }),
    );
  });
});

describe("registration marks", () => {
  test.each([
    ["ab12 cde", "AB12CDE"],
    ["  A 123-ABC ", "A123ABC"],
    ["59-X1 234.56", "59X123456"],
    ["１กก 1234", "1กก1234"],
    ["а123вс", "А123ВС"],
    ["ab\u200b12", "AB12"],
  ])("%s is stored as %s", (text, mark) => {
    expect(normaliseMark(text)).toEqual({ ok: true, mark });
  });

  test("what is no mark is refused, with the reason", () => {
    expect(normaliseMark("A")).toEqual({ ok: false, why: "length" });
    expect(normaliseMark(" - ")).toEqual({ ok: false, why: "length" });
    expect(normaliseMark("ABCDEFGHIJKLM")).toEqual({ ok: false, why: "length" });
    for (const text of ["AB12;DE", "AB12\u0000", "<b>", "AB/12", "AB½"]) {
      expect(normaliseMark(text), text).toEqual({ ok: false, why: "character" });
    }
  });

  test("a stored mark normalises to itself", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", minLength: 2, maxLength: 12 }), (text) => {
        const first = normaliseMark(text);
        if (first.ok) expect(normaliseMark(first.mark)).toEqual(first);
      }),
      { numRuns: 2000 },
    );
  });
});
