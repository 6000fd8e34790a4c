// Invented facts for the reports' tests: names in three scripts, from empty to several pages.
import type { Category } from "../../shared/contracts/common.ts";
import type { ReadingVerdict } from "../../shared/rules/verdict.ts";
import type { DefectCourse, DefectReportFacts, DefectSummaryFacts } from "../../src/reports/defect-facts.ts";
import type { Frame, MachineIdentity, Person, ReadingTaken, RecordOnReport } from "../../src/reports/facts.ts";
import type { CampaignReportFacts, FallReportFacts } from "../../src/reports/index.ts";
import { figuresOfDays, foundDefects } from "../support/period-figures.ts";

export const frame: Frame = {
  firmName: "Kestrel & Sons Parcels",
  depotName: "North Yard",
  timeZone: "Europe/London",
  language: "en",
  printedAt: new Date("2026-07-14T06:02:00.000Z"),
};

export const people = {
  accented: { name: "Zo\u00eb \u0141ukasz-D'Angl\u00e8s", staffNumber: "R004" },
  cyrillic: { name: "\u041e\u043b\u0435\u043d\u0430 \u0406\u0432\u0430\u0449\u0435\u043d\u043a\u043e", staffNumber: "M001" },
  thai: {
    name: "\u0e2a\u0e38\u0e1e\u0e31\u0e15\u0e23\u0e32 \u0e1b\u0e31\u0e0d\u0e0d\u0e32\u0e27\u0e31\u0e12\u0e19\u0e4c",
    staffNumber: "M002",
  },
  long: { name: "Maximiliana Featherstonehaugh-Cholmondeley of the Upper Riverside Night Shift", staffNumber: "R017" },
} as const satisfies Record<string, Person>;

export const machine = (mark = "KX21ABC"): MachineIdentity => ({
  registrationMark: mark,
  modelName: "Courier 110 drum",
  vin: "XZ9AB110000001234",
  odometerKm: 18_432,
  inServiceFrom: "2025-03-03",
});

export const reading = (
  value: number,
  result: ReadingVerdict["result"],
  at = "2026-07-13T15:40:00.000Z",
  asLeft?: number,
): ReadingTaken => {
  const limit = { kind: "handbook" as const, least: 20, most: 30, unit: "mm" as const, source: "handbook" };
  const judged = (measured: number) => ({
    outcome: measured > 30 ? ("adjust" as const) : ("within" as const),
    category: null,
    limit,
    offBy: Math.max(0, measured - 30),
  });
  return {
    at: new Date(at),
    by: people.cyrillic,
    verdict: {
      quantity: "chain-slack",
      reading: { asFound: value, ...(asLeft === undefined ? {} : { asLeft }), unit: "mm" },
      asFound: judged(value),
      asLeft: asLeft === undefined ? null : judged(asLeft),
      result,
      category: result === "defect" ? "major" : null,
    },
  };
};

/** An open defect that grounds; parts of it may be given. */
export const defect = (parts: Partial<DefectCourse> = {}): DefectCourse => ({
  id: "01981c5e-3b70-7cc1-a111-000000000001",
  machine: machine(),
  itemName: "Front brake cable",
  category: "dangerous",
  categorySource: "common-practice",
  status: "open",
  grounds: true,
  isRecurring: false,
  sightings: [
    {
      at: new Date("2026-07-13T04:31:00.000Z"),
      by: people.accented,
      found: "daily-check",
      observations: ["strands frayed at the lever"],
      note: "Lever comes almost to the grip.",
    },
  ],
  arrivedAt: new Date("2026-07-13T04:31:20.000Z"),
  odometerKm: 18_402,
  dueDay: null,
  regradings: [],
  deferrals: [],
  waits: [],
  waiting: null,
  notes: [],
  repairs: [],
  firstLooks: [],
  notFound: null,
  signOff: null,
  competence: "brakes",
  needsSecondPerson: true,
  flags: [],
  ...parts,
});

/** What a defect says that waits for a part, with a note. */
export const waitingForPart: Pick<DefectCourse, "waits" | "waiting" | "notes"> = {
  waits: [
    {
      ...{ at: new Date("2026-07-13T08:20:00.000Z"), by: people.thai },
      ...{ part: "Front brake cable", expectedDay: "2026-07-20", reason: "Ordered; none of this length on the shelf." },
    },
  ],
  waiting: { part: "Front brake cable", expectedDay: "2026-07-20" },
  notes: [{ at: new Date("2026-07-13T08:50:00.000Z"), by: people.cyrillic, note: "The maker has none before Friday." }],
};

/** The same defect after its whole course. */
export const closedDefect = (parts: Partial<DefectCourse> = {}): DefectCourse =>
  defect({
    status: "signed-off",
    isRecurring: true,
    arrivedAt: new Date("2026-07-13T07:58:00.000Z"),
    flags: ["arrived late: made without a signal"],
    sightings: [
      ...defect().sightings,
      { at: new Date("2026-07-13T05:12:00.000Z"), by: people.long, found: "noticed", observations: [], note: "Same lever, feels soft." },
    ],
    regradings: [
      {
        at: new Date("2026-07-13T09:00:00.000Z"),
        by: people.cyrillic,
        from: "major",
        to: "dangerous",
        reason: "More than half of the strands are gone.",
      },
    ],
    repairs: [
      {
        at: new Date("2026-07-13T15:40:00.000Z"),
        by: people.cyrillic,
        workDone: "New front brake cable fitted, routed clear of the fork leg, free travel set.",
        minutes: 35,
        parts: [
          { name: "Front brake cable", quantity: 1, number: "45450-K" },
          { name: "Cable tie", quantity: 2, number: null },
        ],
        reading: reading(42, "corrected", "2026-07-13T15:40:00.000Z", 25),
      },
    ],
    signOff: {
      at: new Date("2026-07-13T16:05:00.000Z"),
      by: people.thai,
      statement: "Lever firm, wheel runs free, tested in the yard.",
      reading: { ...reading(25, "within", "2026-07-13T16:05:00.000Z"), isAfterWork: true },
    },
    ...parts,
  });

const itemNames = [
  "Front brake cable",
  "Rear tyre",
  "Chain slack",
  "Headlamp",
  "Stop lamp, worked by the foot",
  "Horn",
  "Wheel bearing, front",
  "Mirror",
];
const categories: Category[] = ["minor", "major", "minor", "dangerous", "minor"];
const letters = "ABCDEFGHJKLMNPRSTUVWXYZ";
export const pick = <T>(list: readonly T[], index: number): T => list[index % list.length] as T;
export const markOf = (index: number): string =>
  `K${letters[index % 23]}${20 + (index % 7)} ${letters[(index * 7) % 23]}${letters[(index * 3) % 23]}Z`.replace(" ", "");

/** `count` defects of many machines, some open, some deferred, most closed. */
export const manyDefects = (count: number): DefectCourse[] =>
  Array.from({ length: count }, (_, index) => {
    const at = new Date(Date.UTC(2026, 5, 1 + (index % 40), 4, index % 60));
    const category = pick(categories, index);
    const base: Partial<DefectCourse> = {
      id: `01981c5e-3b70-7cc1-a111-${String(index).padStart(12, "0")}`,
      machine: machine(markOf(index)),
      itemName: pick(itemNames, index * 5 + (index % 3)),
      category,
      grounds: category !== "minor",
      isRecurring: index % 11 === 0,
      arrivedAt: at,
      sightings: [
        {
          at,
          by: pick(Object.values(people), index),
          found: "daily-check",
          observations: [pick(["frayed", "soft", "cut", "loose"], index)],
          note: null,
        },
      ],
    };
    if (index % 9 === 0) return defect(base);
    if (category === "minor" && index % 4 === 0) {
      const deferral = { at, by: people.cyrillic, untilDay: "2026-07-16", reason: "Part on order." };
      return defect({ ...base, status: "deferred", deferrals: [deferral] });
    }
    const signOff = { at: new Date(at.getTime() + (index % 50) * 3_600_000), by: people.thai, statement: null, reading: null };
    return closedDefect({ ...base, regradings: [], signOff });
  });

export const record: RecordOnReport = {
  id: "019b0000-0000-7000-8000-00000000000a",
  kind: "A defect was raised",
  position: 12,
  recordedAt: new Date("2026-07-13T04:31:00Z"),
  sha256: "0123456789abcdef".repeat(4),
};

export const defectReport = (parts: Partial<DefectReportFacts> = {}): DefectReportFacts => ({
  frame,
  records: [record],
  defect: defect(),
  standingNow: { standing: "grounded", reasons: ["Front brake cable: strands frayed at the lever (dangerous)"] },
  photos: { shown: [], count: 0, awaitedCount: 0 },
  ...parts,
});

/** A fall that was inspected, and one that waits where `parts` say so. */
export const fallReport = (parts: Partial<FallReportFacts> = {}): FallReportFacts => ({
  frame,
  machine: machine(),
  happenedAt: new Date("2026-07-13T05:10:00Z"),
  recordedAt: new Date("2026-07-13T05:24:00Z"),
  reportedBy: people.thai,
  told: {
    ...{ hit: "Slid and went down", bent: ["Handlebar", "Footrest"], note: "Wet leaves on the bridge, going slowly", odometerKm: 18_204 },
  },
  inspectedBetween: null,
  inspection: {
    ...{ at: new Date("2026-07-13T09:40:00Z"), by: people.thai },
    found: [{ item: "Handlebars", seen: ["Bent"], category: "major" }],
  },
  standingNow: { standing: "grounded", reasons: ["Major defect: Handlebars"] },
  photos: { shown: [], count: 0, awaitedCount: 0 },
  record,
  ...parts,
});

/** A campaign over `count` machines in every state, one after another. */
export const campaignReport = (count: number, parts: Partial<CampaignReportFacts> = {}): CampaignReportFacts => {
  const states = ["open", "waiting", "repaired", "done", "nothing-found", "left"] as const;
  const jobs = Array.from({ length: count }, (_, index): CampaignReportFacts["jobs"][number] => {
    const state = states[index % states.length] ?? "open";
    const isDone = state === "done" || state === "nothing-found";
    return {
      machine: machine(markOf(index)),
      state,
      expectedDay: state === "waiting" ? "2026-07-20" : null,
      ...(isDone ? { doneDay: "2026-07-12", doneBy: people.thai.name } : { doneDay: null, doneBy: null }),
      late: state === "open" && index % 4 === 0,
      grounded: !isDone && state !== "left",
    };
  });
  const of = (state: string): number => jobs.filter((job) => job.state === state).length;
  return {
    frame,
    ...{ name: "Front brake hose: notice 7/26", job: "Look at the hose where it passes the fork, and renew it where it is chafed." },
    ...{ grounds: true, dueDay: "2026-07-13", covers: ["Carrier 110"], depots: null },
    totals: {
      ...{ machines: count, open: of("open"), waiting: of("waiting"), repaired: of("repaired"), done: of("done"), left: of("left") },
      ...{ "nothing-found": of("nothing-found"), late: jobs.filter(({ late }) => late).length },
      grounded: jobs.filter(({ grounded }) => grounded).length,
    },
    added: { at: new Date("2026-07-10T08:00:00Z"), by: people.thai },
    ended: null,
    jobs,
    ...parts,
  };
};

export const summary = (count: number, grounded: number): DefectSummaryFacts => ({
  frame,
  from: "2026-06-01",
  to: "2026-07-14",
  grounded: Array.from({ length: grounded }, (_, index) => ({
    machine: machine(markOf(index)),
    since: new Date(Date.UTC(2026, 6, 10 + (index % 4), 5, index)),
    reasons: index % 2 === 0 ? ["Front brake cable: frayed (dangerous)", "Rear tyre: soft (major)"] : ["Headlamp: does not light (major)"],
  })),
  defects: manyDefects(count),
  closed: manyDefects(count).filter(({ signOff }) => signOff !== null),
  figures: figuresOfDays(foundDefects(count), { machineDays: 1_056, grounded: 7, papersExpired: 1 }),
});
