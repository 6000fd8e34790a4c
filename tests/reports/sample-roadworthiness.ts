// Invented facts for the reports about roadworthiness, beside those of sample-facts.ts: from empty to several pages.
import type { DefectCourse } from "../../src/reports/defect-facts.ts";
import type {
  DayJudged,
  FleetRoadworthinessFacts,
  MachineOnDay,
  MachineRoadworthinessFacts,
} from "../../src/reports/roadworthiness-facts.ts";
import { figuresOfDays, foundDefects } from "../support/period-figures.ts";
import { defect, frame, machine, manyDefects, markOf, people, pick, reading, record } from "./sample-facts.ts";

export const days = (from: string, count: number, verdict: (index: number) => DayJudged["verdict"]): DayJudged[] =>
  Array.from({ length: count }, (_, index) => ({
    day: new Date(Date.parse(`${from}T00:00:00Z`) + index * 86_400_000).toISOString().slice(0, 10),
    verdict: verdict(index),
  }));

const workOn = (defects: readonly DefectCourse[]): MachineRoadworthinessFacts["work"] =>
  defects.flatMap((defect) => [
    ...defect.repairs.map(({ at, by, workDone }) => ({ done: "repaired" as const, at, by, said: workDone, defect })),
    ...(defect.signOff === null
      ? []
      : [{ done: "signed-off" as const, at: defect.signOff.at, by: defect.signOff.by, said: defect.signOff.statement, defect }]),
  ]);

export const emptyMachine = (): MachineRoadworthinessFacts => ({
  frame,
  lastRecord: record,
  machine: { ...machine(), vin: null, odometerKm: null, inServiceFrom: null },
  from: "2026-07-14",
  to: "2026-07-14",
  standingNow: { standing: "unchecked", reasons: ["today's check has not been made"] },
  figures: figuresOfDays([], { machineDays: 0.3 }),
  days: [],
  openDefects: [],
  periodDefects: [],
  work: [],
  falls: [],
  stays: [],
  putRight: [],
  inspections: [],
  wear: [],
  papers: [],
});

const falls: MachineRoadworthinessFacts["falls"] = [
  {
    ...{ at: new Date("2026-05-11T06:10:00Z"), by: people.cyrillic },
    told: { hit: "Slid away on the road", bent: ["Handlebar or levers", "Footrests"], note: "Wet leaves in the underpass" },
    inspection: { at: new Date("2026-05-11T09:00:00Z"), by: people.cyrillic },
  },
  { at: new Date("2026-07-12T16:40:00Z"), by: people.cyrillic, told: null, inspection: null },
];

const stays: MachineRoadworthinessFacts["stays"] = [
  {
    since: new Date("2026-06-02T07:30:00Z"),
    told: { workshop: "Harbour Street workshop", reason: "The ignition cuts out; nobody here finds why", expectedDay: "2026-06-05" },
    back: {
      ...{ at: new Date("2026-06-05T14:00:00Z"), staffId: "", workDone: "New ignition coil and its lead", repaired: 1 },
      parts: [
        { name: "Coil", quantity: 1 },
        { name: "Lead", quantity: 1 },
      ],
    },
    takenBy: people.cyrillic,
  },
  {
    since: new Date("2026-07-13T07:30:00Z"),
    told: { workshop: "Coachworks at the canal", reason: "Frame measured after the fall", expectedDay: "2026-07-16" },
    ...{ back: null, takenBy: null },
  },
];

export const fullMachine = (): MachineRoadworthinessFacts => ({
  frame,
  lastRecord: record,
  machine: machine(),
  from: "2026-04-15",
  to: "2026-07-14",
  standingNow: {
    standing: "grounded",
    reasons: [
      "Front brake cable: strands frayed at the lever (dangerous)",
      "Rear tyre: cut that shows the cords (dangerous)",
      "Weekly inspection overdue since 11 Jul 2026",
    ],
  },
  figures: figuresOfDays(foundDefects(9), { machineDays: 84.25, grounded: 6, inspectionOverdue: 1.5, withdrawn: 6 }),
  days: days("2026-04-15", 91, (index) =>
    index > 88
      ? "outside"
      : index % 7 === 6
        ? "not-in-use"
        : index === 40
          ? "ridden"
          : index % 17 === 5
            ? "missing"
            : index % 13 === 4
              ? "defect"
              : "nil",
  ),
  openDefects: [
    defect(),
    defect({ id: "01981c5e-3b70-7cc1-a111-000000000002", itemName: "Rear tyre", category: "dangerous", isRecurring: true }),
  ],
  periodDefects: manyDefects(14).map((one) => ({ ...one, machine: machine() })),
  work: workOn(manyDefects(14).filter(({ signOff }) => signOff !== null)),
  falls,
  stays,
  putRight: Array.from({ length: 4 }, (_, index) => ({
    at: new Date(Date.UTC(2026, 5, 8 + index * 5, 4, 40)),
    by: people.accented,
    itemName: index === 3 ? "Chain" : "Rear tyre pressure",
    seen: [index === 3 ? "Dry or rusty" : "A little softer than usual"],
    note: index === 1 ? "At the filling station by the bridge" : null,
    reading: index === 3 ? null : reading(25, "within", "2026-06-08T04:40:00.000Z"),
  })),
  inspections: Array.from({ length: 5 }, (_, index) => ({
    at: new Date(Date.UTC(2026, 5, 8 + index * 7, 13, 10)),
    by: people.cyrillic,
    measuredBy: index === 2 ? [people.accented] : [],
    odometerKm: 16_000 + index * 480,
    isFirstUse: index === 0,
    defectCount: index % 3,
    stillOpen: index === 3 ? 2 : 0,
    readings: [
      reading(24, "within", "2026-06-08T13:10:00.000Z"),
      reading(41, "corrected", "2026-06-08T13:14:00.000Z", 26),
      reading(52, "defect", "2026-06-08T13:20:00.000Z"),
    ],
  })),
  wear: [
    {
      quantity: "rear-tread",
      unit: "mm",
      points: Array.from({ length: 9 }, (_, index) => ({
        odometerKm: 14_000 + index * 500,
        at: new Date(Date.UTC(2026, 4, 18 + index * 7, 12)),
        value: Number((4.1 - index * 0.31).toFixed(2)),
      })),
      limits: [
        { value: 2, name: "Handbook" },
        { value: 1, name: "Legal" },
      ],
    },
  ],
  papers: [
    { kindName: "Insurance", number: "P-7781", validFrom: "2026-01-01", validTo: "2026-12-31" },
    { kindName: "Periodic test", number: null, validFrom: "2025-07-10", validTo: "2026-07-09" },
    {
      ...{ kindName: "Insurance", number: "P-7782", validFrom: "2026-01-01", validTo: "2036-12-31" },
      ending: { day: "2026-07-13", reason: "mistaken", note: "2036 is 2026", by: people.accented, at: new Date("2026-07-13T08:02:00Z") },
    },
    {
      ...{ kindName: "Road tax", number: "T-1", validFrom: "2026-01-01", validTo: "2026-12-31" },
      ending: { day: "2026-07-01", reason: "cancelled", note: null, by: people.accented, at: new Date("2026-06-28T08:02:00Z") },
    },
    { kindName: "Registration", number: "R-22", validFrom: "2025-03-03", validTo: null },
  ],
});

const papersAt = (index: number): MachineOnDay["papers"] => [
  { kindName: "Insurance", how: index % 8 === 0 ? "ended" : "counts", day: index % 8 === 0 ? "2026-06-30" : "2026-12-31" },
  index % 17 === 2
    ? { kindName: "Roadworthiness test", how: "failed", day: "2026-07-10" }
    : { kindName: "Roadworthiness test", how: "later", day: "2026-08-01" },
];

const endingsAt = (index: number): MachineOnDay["endings"] =>
  index % 8 === 0
    ? [
        {
          ...{ kindName: "Insurance", number: "P-7782", validFrom: "2026-07-01", validTo: "2036-06-30" },
          ending: { day: "2026-07-13", reason: "mistaken", note: null, by: people.accented, at: new Date("2026-07-13T08:02:00Z") },
        },
      ]
    : [];

export const fleet = (count: number): FleetRoadworthinessFacts => ({
  frame,
  on: "2026-07-14",
  at: new Date("2026-07-14T06:00:00.000Z"),
  isOver: false,
  machines: Array.from({ length: count }, (_, index): MachineOnDay => {
    const own = machine(markOf(index));
    const papers = papersAt(index);
    const endings = endingsAt(index);
    if (index % 8 === 0)
      return {
        machine: own,
        standing: "grounded",
        reasons: ["Front brake cable: frayed (dangerous)", "Insurance expired on 30 Jun 2026"],
        check: null,
        papers,
        endings,
      };
    if (index % 13 === 1)
      return {
        machine: own,
        standing: "inspection-overdue",
        reasons: ["Weekly inspection overdue since 11 Jul 2026"],
        check: null,
        papers,
        endings,
      };
    if (index % 17 === 2)
      return { machine: own, standing: "papers-expired", reasons: ["Periodic test expired on 9 Jul 2026"], check: null, papers, endings };
    if (index % 29 === 3) return { machine: own, standing: "withdrawn", reasons: ["Withdrawn: sold"], check: null, papers, endings };
    if (index % 3 === 0)
      return { machine: own, standing: "unchecked", reasons: ["today's check has not been made"], check: null, papers, endings };
    const check = { at: new Date("2026-07-14T04:40:00.000Z"), by: pick(Object.values(people), index), foundDefects: index % 5 === 0 };
    return {
      machine: own,
      standing: "fit",
      reasons: index % 5 === 0 ? ["Mirror: loose (minor), to be put right by 18 Jul 2026"] : [],
      check,
      papers,
      endings,
    };
  }),
});
