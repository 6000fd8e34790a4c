// Invented facts for the papers of one check and one inspection: full, forgotten, and with every text as long as it may be.
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Language } from "../../shared/words/index.ts";
import { itemPrompt } from "../../shared/words/item-words.ts";
import type { AnswerOnReport, CameOfIt, DailyCheckFacts, WeeklyInspectionFacts } from "../../src/reports/check-report/check-facts.ts";
import { chainMachine } from "../support/machines.ts";
import { frame, machine, people, reading, record } from "./sample-facts.ts";
import { longFrame, longMachine, longNames, reasons, unbroken, wordsOf } from "./sample-hostile.ts";

const answers = (
  kind: "daily" | "weekly",
  language: Language,
  changed: Readonly<Record<number, Partial<AnswerOnReport>>>,
): AnswerOnReport[] =>
  itemsFor(chainMachine, kind).map(({ id }, index) => ({
    ...{ prompt: itemPrompt(id, language), result: "ok", seen: [], note: null, photoCount: 0, unjudged: null, actions: [] },
    ...changed[index],
  }));

const id = "019b0000-0000-7000-8000-0000000000d1";
const came = (what: CameOfIt["what"], parts: Partial<CameOfIt> = {}): CameOfIt => ({
  ...{ itemName: "Front brake cable", seen: ["Strands frayed at the lever"], category: "major", what, dueDay: null },
  ...{ isRecurring: false, closedBetween: false, defectId: id },
  ...parts,
});

const base = {
  ...{ frame, record, machine: machine(), by: people.accented, odometerKm: 18_402, defectCount: 2, flags: [], corrections: [] },
  performedAt: new Date("2026-07-13T04:31:00Z"),
  arrivedAt: new Date("2026-07-13T04:31:20Z"),
  photos: { photos: [], awaitedCount: 0 },
};
const sheet = { version: SHEET_VERSION, sha256: "fedcba9876543210".repeat(4) };

/** A check that found nothing. */
export const nilCheck = (language: Language = "en"): DailyCheckFacts => ({
  ...base,
  frame: { ...frame, language },
  ...{ defectCount: 0, durationSeconds: 71, decision: "ride", validUntil: new Date("2026-07-13T18:31:00Z") },
  told: {
    ...{ sheet, asSent: null, answers: answers("daily", language, {}), readings: [], cameOfIt: [], reasons: [], usualSeconds: 60 },
    unjudgedProof: null,
  },
});

/** A check late and odd, with findings of machine and rider, something put right, photos and a correction. */
export const oddCheck = (language: Language = "en"): DailyCheckFacts => ({
  ...nilCheck(language),
  ...{ arrivedAt: new Date("2026-07-13T11:02:00Z"), defectCount: 2, decision: "do-not-ride", validUntil: null, durationSeconds: 24 },
  flags: ["arrived late", "made quicker than every item can be looked at", "a text was longer than is taken, and was cut"],
  corrections: [
    {
      ...{ pointer: "/submitted/odometerKm", was: "18402", right: "18042", reason: "Two figures swapped" },
      ...{ by: people.thai, at: new Date("2026-07-14T05:00:00Z") },
    },
    {
      pointer: null,
      was: "null",
      right: "The other machine of that name",
      reason: "Wrong mark scanned",
      by: people.cyrillic,
      at: frame.printedAt,
    },
  ],
  photos: {
    photos: [
      { sha256: "0123456789abcdef".repeat(4), itemName: "Front brake", by: people.accented, at: new Date("2026-07-13T11:04:00Z") },
      { sha256: "89abcdef01234567".repeat(4), itemName: null, by: people.long, at: new Date("2026-07-13T11:05:00Z") },
    ],
    awaitedCount: 1,
  },
  told: {
    ...{ sheet, usualSeconds: 60, unjudgedProof: { value: 240, unit: null } },
    asSent: { sha256: "00ff".repeat(16), parts: [{ pointer: "/answers/3/note", was: wordsOf("was", 200) }] },
    answers: answers("daily", language, {
      1: { result: "defect", seen: ["Strands frayed at the lever", "Outer worn through"], note: "Comes to the grip", photoCount: 2 },
      3: { result: "put-right", seen: ["Too little air"] },
      4: { result: "not-applicable" },
      5: { result: "none" },
      6: { unjudged: { value: 12, unit: "mm" } },
    }),
    readings: [
      {
        reading: { ...reading(25, "within"), isAfterWork: true },
        ...{ method: null, places: [], celsius: null, load: "laden", readTwice: true },
      },
    ],
    cameOfIt: [
      came("opened", { isRecurring: true, closedBetween: true }),
      came("seen-again", { itemName: "Horn", seen: ["Weak"], category: "minor", dueDay: "2026-07-18" }),
      came("rider", { itemName: "Helmet", seen: ["Strap torn"], defectId: null }),
    ],
    reasons: ["Major defect: Front brake cable", "Rider not equipped to ride: Strap torn. This stops the rider alone, not the machine"],
  },
});

/** What is left of a check whose answers were forgotten. */
export const forgottenCheck = (): DailyCheckFacts => ({ ...nilCheck(), defectCount: 3, decision: "ride-with-defects", told: null });

/** A check in which every text is as long as it may be. */
export const hostileCheck = (): DailyCheckFacts => {
  const odd = oddCheck();
  return {
    ...odd,
    ...{ frame: longFrame, machine: longMachine, by: longNames.person },
    flags: Array.from({ length: 24 }, (_, index) => wordsOf(`flag${index}x`, 80)),
    corrections: Array.from({ length: 12 }, (_, index) => ({
      ...{ pointer: unbroken(`/submitted/answers/${index}/`, 120), was: wordsOf(`was${index}x`, 400), right: unbroken("Right", 300) },
      ...{ reason: wordsOf(`why${index}x`, 400), by: longNames.unbrokenPerson, at: frame.printedAt },
    })),
    told: odd.told && {
      ...odd.told,
      asSent: {
        sha256: "00ff".repeat(16),
        parts: Array.from({ length: 30 }, (_, index) => ({ pointer: `/answers/${index}`, was: unbroken("W", 100) })),
      },
      answers: odd.told.answers.map((answer, index) => ({
        ...answer,
        ...{ result: "defect", seen: [wordsOf(`seen${index}x`, 120)], note: wordsOf(`note${index}x`, 1_000), photoCount: 8 },
      })),
      cameOfIt: Array.from({ length: 20 }, (_, index) =>
        came("seen-again-repaired", {
          itemName: wordsOf(`item${index}x`, 120),
          seen: [wordsOf(`said${index}x`, 200)],
          closedBetween: true,
        }),
      ),
      reasons: reasons(67),
    },
  };
};

const method = "Total travel up and down at the middle of the lower run, both wheels on the ground, turned to the tightest place";

/** An inspection signed by one and measured by two, with all that can come of one. */
export const inspection = (language: Language = "en"): WeeklyInspectionFacts => ({
  ...base,
  ...{ frame: { ...frame, language }, by: people.cyrillic, nextBy: "2026-07-20", defectCount: 3 },
  secretSet: { at: new Date("2026-07-12T15:00:00Z"), by: people.thai, chosenAt: null },
  flags: ["odometer further on than a day can explain"],
  told: {
    ...{ sheet, asSent: null, standing: "grounded", reasons: ["Major defect: Front brake cable"], oilChangedAtKm: 18_402 },
    answers: answers("weekly", language, {
      0: { actions: ["Lubricated", "Tightened"] },
      2: { result: "defect", seen: ["Lining worn to the mark"], note: "Rear too, soon" },
      5: { result: "not-applicable" },
      7: { result: "none" },
      9: { result: "defect", seen: ["Too loose"], actions: ["Adjusted"] },
    }),
    readings: [
      {
        reading: reading(42, "corrected", "2026-07-13T04:31:00.000Z", 25),
        method,
        places: [42, 38, 40],
        celsius: 18.5,
        load: "solo",
        readTwice: true,
      },
      { reading: reading(38, "defect"), method, places: [], celsius: null, load: null, readTwice: false },
      { reading: reading(25, "within"), method: null, places: [], celsius: null, load: null, readTwice: false },
    ],
    cameOfIt: [
      came("opened"),
      came("opened-repaired", { itemName: "Rear brake" }),
      came("seen-again", { itemName: "Horn", category: "minor", dueDay: "2026-07-18" }),
      came("signed-off", { itemName: "Mirror", seen: [], category: null }),
      came("not-found", { itemName: "Stand", seen: [], category: null }),
      came("stays", { itemName: "Rear tyre", seen: [], category: "advisory" }),
    ],
    measuredBy: [
      { by: people.thai, itemNames: ["Chain slack", "Front tyre pressure"] },
      { by: people.long, itemNames: ["Rear lining"] },
    ],
    serviced: { atKm: 18_402, itemNames: ["Air filter", "Spark plug"] },
    guidance: [
      { itemName: "Chain slack", text: "Tighten by 1 flat on each side: moves the axle by 1.2 mm, 1.4 mm are needed." },
      { itemName: "Engine oil", text: "Oil: due in 800 km." },
    ],
  },
});

export const forgottenInspection = (): WeeklyInspectionFacts => ({ ...inspection(), told: null });

/** An inspection in which nothing was answered, and one that found nothing has nothing to tell of. */
export const emptyInspection = (): WeeklyInspectionFacts => ({
  ...base,
  ...{ nextBy: "2026-07-20", defectCount: 0 },
  told: {
    ...{
      sheet: { version: "1999-01", sha256: null },
      asSent: null,
      standing: "unchecked",
      reasons: [],
      oilChangedAtKm: null,
      serviced: null,
    },
    ...{ answers: [], readings: [], cameOfIt: [], measuredBy: [], guidance: [] },
  },
});

export const hostileInspection = (): WeeklyInspectionFacts => {
  const { flags, corrections, told: daily } = hostileCheck();
  const one = inspection();
  return {
    ...one,
    ...{ frame: longFrame, machine: longMachine, by: longNames.unbrokenPerson, flags, corrections },
    told: one.told && {
      ...one.told,
      ...{ cameOfIt: daily?.cameOfIt ?? [], reasons: reasons(67), asSent: daily?.asSent ?? null },
      answers: one.told.answers.map((answer, index) => ({
        ...answer,
        ...{
          result: "defect",
          seen: [wordsOf(`seen${index}x`, 120)],
          note: wordsOf(`note${index}x`, 600),
          actions: ["Adjusted", "Lubricated", "Topped up", "Cleaned", "Tightened", "Replaced"],
        },
      })),
      readings: Array.from({ length: 20 }, (_, index) => ({
        reading: reading(42 + index, "corrected", "2026-07-13T04:31:00.000Z", 25),
        ...{ method, places: Array.from({ length: 12 }, (_, place) => 40 + place), celsius: -12.5, load: "laden", readTwice: true },
      })),
      measuredBy: [{ by: longNames.person, itemNames: Array.from({ length: 40 }, (_, index) => `Item${index}`) }],
      guidance: Array.from({ length: 20 }, (_, index) => ({ itemName: wordsOf(`at${index}x`, 60), text: wordsOf(`do${index}x`, 300) })),
    },
  };
};
