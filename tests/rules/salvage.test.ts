// A body that tells of a defect is taken whatever clerical is wrong with it: damaged at random, and at every field by hand.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type DailyCheckBody, dailyCheckBodySchema, weeklyInspectionBodySchema } from "../../shared/contracts/checks.ts";
import { textSchema } from "../../shared/contracts/common.ts";
import { reportDefectBodySchema } from "../../shared/contracts/defects.ts";
import { limits } from "../../shared/contracts/limits.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { cleanText, clipText } from "../../shared/rules/clean-text.ts";
import { salvageCheck, salvageReport } from "../../shared/rules/salvage.ts";
import { chainMachine } from "../support/machines.ts";

const arrival = { at: "2026-11-29T06:00:00.000Z", id: "7d444840-9dc0-8d1b-8245-5ffdce74fad2" };
const machineId = "019f59bd-3540-7562-8438-6201b717ff67";
const seen = "front-tyre-tread.cords-show";
const found = { itemId: "front-tyre-tread", result: "defect" as const, observationIds: [seen], note: "cords" };
const check: DailyCheckBody = {
  ...{ id: "019f59bd-3540-7562-8438-6201b717ff68", machineId, sheetVersion: "2026-11" },
  ...{ performedAt: "2026-11-29T05:30:00.000Z", durationSeconds: 60, odometerKm: 1000, proof: { value: 1000, unit: "km" } },
  answers: nilAnswers(chainMachine).map((answer) => (answer.itemId === found.itemId ? found : answer)),
};
const withAnswer = (changes: object) => ({
  ...check,
  answers: check.answers.map((answer) => (answer === found ? { ...found, ...changes } : answer)),
});
const taken = (raw: unknown) => salvageCheck(dailyCheckBodySchema, raw, arrival);
const findingIn = (raw: unknown) => taken(raw)?.body.answers.find(({ observationIds }) => observationIds?.includes(seen));
const photo = (index: number) => `00000000-0000-4000-8000-${String(index).padStart(12, "0")}`;

describe("a check that tells of a defect is taken", () => {
  test.each([
    ["an odometer beyond what there is", { ...check, odometerKm: 9_999_999 }, "odometer-unreadable"],
    ["an odometer below nothing", { ...check, odometerKm: -1 }, "odometer-unreadable"],
    ["an odometer in words", { ...check, odometerKm: "twelve" }, "odometer-unreadable"],
    ["an odometer with a fraction", { ...check, odometerKm: 1000.6 }, "odometer-unreadable"],
    ["no odometer", { ...check, odometerKm: null }, "odometer-unreadable"],
    ["a duration of days", { ...check, durationSeconds: 1e9 }, "duration-unreadable"],
    ["a duration in text", { ...check, durationSeconds: "60" }, "duration-unreadable"],
    ["no moment", { ...check, performedAt: undefined }, "time-unreadable"],
    ["a moment that is none", { ...check, performedAt: "half past five" }, "time-unreadable"],
    ["a moment without a zone", { ...check, performedAt: "2026-11-29 05:30" }, "time-unreadable"],
    ["a moment before there were motorcycles", { ...check, performedAt: "0001-01-01T00:00:00Z" }, "time-unreadable"],
    ["a field of a newer client", { ...check, mood: "bad" }, "field-unknown"],
    ["a field of a newer client in an answer", withAnswer({ mood: { a: [1] } }), "field-unknown"],
    ["a proof that is no number", { ...check, proof: { value: "?" } }, "reading-unreadable"],
    ["a proof that is no object", { ...check, proof: 7 }, "reading-unreadable"],
    ["eleven photos", withAnswer({ photoIds: Array.from({ length: 11 }, (_, index) => photo(index)) }), "photos-left-out"],
    ["a photo that has no id", withAnswer({ photoIds: ["x", photo(1)] }), "photos-left-out"],
    ["photos that are no list", withAnswer({ photoIds: "x" }), "photos-left-out"],
    ["a note of 1001 characters", withAnswer({ note: "x".repeat(1001) }), "text-clipped"],
    ["a note that is a number", withAnswer({ note: 5 }), "value-unreadable"],
    ["an empty note", withAnswer({ note: " " }), "value-unreadable"],
    ["21 observations", withAnswer({ observationIds: [seen, ...Array.from({ length: 20 }, (_, i) => `x.${i}`)] }), "observations-left-out"],
    ["an observation that is no text", withAnswer({ observationIds: [seen, 5, {}] }), "observations-left-out"],
    ["a result that is none", withAnswer({ result: "bad" }), "value-unreadable"],
    ["no item", withAnswer({ itemId: undefined }), "value-unreadable"],
    ["an answer that is none", { ...check, answers: [...check.answers, 7, null, "x", { note: "?" }] }, "answers-left-out"],
    ["no sheet", { ...check, sheetVersion: null }, "value-unreadable"],
    ["no id", { ...check, id: undefined }, "id-made-here"],
    ["an id that is none", { ...check, id: "12" }, "id-made-here"],
  ])("with %s, flagged", (_what, raw, flag) => {
    expect(dailyCheckBodySchema.safeParse(raw).success).toBe(false);
    expect(taken(raw)?.flags).toContain(flag);
    expect(dailyCheckBodySchema.safeParse(taken(raw)?.body).success).toBe(true);
    expect(findingIn(raw)).toMatchObject({ itemId: found.itemId, result: "defect" });
  });

  test("and what was there is kept beside it, cut where it is long", () => {
    expect(taken({ ...check, odometerKm: 9_999_999 })?.asSent).toEqual([{ pointer: "/odometerKm", was: "9999999" }]);
    const long = taken(withAnswer({ note: `${"\u0000\ud800".repeat(4000)}` }));
    expect(long?.asSent[0]?.was.length).toBeLessThanOrEqual(4000);
    expect(taken(withAnswer({ note: "x".repeat(1001) }))?.asSent[0]?.was).toBe(JSON.stringify("x".repeat(1001)));
  });

  test("whatever is put in the place of any value, as long as the machine and what was seen can be read", () => {
    const odd = fc.oneof(
      fc.constantFrom(null, true, "", " ", "x", "\u0000", "\ud800", "x".repeat(3000), -1, 1e308, 0.5, [], {}, [[]], { a: 1 }),
      fc.jsonValue(),
    );
    const places = ["id", "sheetVersion", "performedAt", "durationSeconds", "odometerKm", "proof", "extra"] as const;
    const inAnswer = ["note", "photoIds", "result", "itemId", "extra"] as const;
    fc.assert(
      fc.property(
        fc.dictionary(fc.constantFrom(...places), odd),
        fc.dictionary(fc.constantFrom(...inAnswer), odd),
        fc.array(odd, { maxLength: 5 }),
        (top, inside, more) => {
          const raw = { ...withAnswer(inside), ...top };
          const body = { ...raw, answers: [...more, ...raw.answers] };
          if (dailyCheckBodySchema.safeParse(body).success) return;
          const mended = taken(JSON.parse(JSON.stringify(body)));
          expect(mended?.body.machineId).toBe(machineId);
          expect(dailyCheckBodySchema.safeParse(mended?.body).success).toBe(true);
          expect(mended?.flags.length).toBeGreaterThan(0);
          expect(mended?.body.answers.some(({ observationIds }) => observationIds?.includes(seen))).toBe(true);
        },
      ),
      { numRuns: 500 },
    );
  });

  test("the same bytes give the same body, and the raw one is left as it was", () => {
    const raw = { ...check, odometerKm: "x", id: 5 };
    const before = JSON.stringify(raw);
    expect(taken(raw)).toEqual(taken(JSON.parse(before)));
    expect(JSON.stringify(raw)).toBe(before);
  });
});

describe("is refused as the contract says", () => {
  test.each([
    ["a check that found nothing", { ...check, answers: nilAnswers(chainMachine), odometerKm: -1 }],
    ["a check of no machine", { ...check, machineId: "x" }],
    ["what is no object", [check]],
    ["answers that are no list", { ...check, answers: {} }],
    [
      "a defect that cannot be read",
      { ...check, answers: [{ result: "defect", itemId: {}, observationIds: [{}] }].map((one) => ({ ...one, result: 5 })) },
    ],
  ])("%s", (_what, raw) => {
    expect(taken(raw)).toBeNull();
  });

  test.each([
    ["without a machine", { id: arrival.id, seenAt: arrival.at, note: "x" }],
    ["without anything that can be read", { id: arrival.id, machineId, seenAt: arrival.at, note: {} }],
    ["with a photo alone", { id: arrival.id, machineId, seenAt: arrival.at, photoIds: [photo(1)] }],
    ["that is nothing", {}],
    ["that is a text", "x"],
  ])("a report %s", (_what, raw) => {
    expect(salvageReport(reportDefectBodySchema, raw, arrival)).toBeNull();
  });
});

test("a report is mended likewise: its moment, its id, its note and its photos", () => {
  const raw = { machineId, seenAt: "?", note: "x".repeat(2000), photoIds: Array.from({ length: 30 }, (_, index) => photo(index)), mood: 1 };
  const mended = salvageReport(reportDefectBodySchema, raw, arrival);
  expect(mended?.body).toMatchObject({ id: arrival.id, seenAt: arrival.at, note: "x".repeat(limits.note) });
  expect(mended?.body.photoIds).toHaveLength(limits.photos);
  expect(mended?.flags.toSorted()).toEqual(["field-unknown", "id-made-here", "photos-left-out", "text-clipped", "time-unreadable"]);
});

test("so is an inspection, whose readings are never made up: one that cannot be read is left out", () => {
  const answers = [found, { itemId: "chain-slack", result: "ok", asFound: "20", asLeft: "about 20", unit: "furlong" }];
  const raw = { id: arrival.id, machineId, sheetVersion: "2026-11", performedAt: arrival.at, odometerKm: 1e7, answers };
  const mended = salvageCheck(weeklyInspectionBodySchema, raw, arrival);
  expect(mended?.body.answers[1]).toEqual({ itemId: "chain-slack", result: "ok", asFound: 20 });
  expect(mended?.flags.toSorted()).toEqual(["odometer-unreadable", "reading-unreadable"]);
});

describe("text", () => {
  test.each([
    ["a\tb", "a b"],
    ["a\r\nb\rc\u0085d", "a\nb\nc\nd"],
    ["a\u0000b\u0007\u009f", "ab"],
    ["\ud800x\udc00", "\ufffdx\ufffd"],
    ["\u{1f6f5} whole", "\u{1f6f5} whole"],
  ])("%j is kept as %j", (typed, kept) => {
    expect(cleanText(typed)).toBe(kept);
    expect(textSchema(100).parse(` ${typed} `)).toBe(kept);
  });

  test("is never cut in the middle of a character", () => {
    expect(clipText(`${"x".repeat(9)}\u{1f6f5}`, 10)).toBe("x".repeat(9));
    fc.assert(
      fc.property(fc.string({ unit: "grapheme" }), fc.nat(40), (text, most) => {
        const clipped = clipText(text, most);
        expect(clipped.length).toBeLessThanOrEqual(most);
        expect(textSchema(1000).safeParse(clipped).data ?? "").toBe(clipped.trim() === "" ? "" : cleanText(clipped).trim());
      }),
    );
  });
});
