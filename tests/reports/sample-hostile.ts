// What a firm may hold that no report was drawn for: endless reasons and notes, names as long as they may be, nothing at all, a depot of hundreds.
import type { DefectCourse } from "../../src/reports/defect-facts.ts";
import type { Person } from "../../src/reports/facts.ts";
import type { FleetRoadworthinessFacts, MachineOnDay, MachineRoadworthinessFacts } from "../../src/reports/roadworthiness-facts.ts";
import * as sample from "./sample-facts.ts";
import * as roadworthy from "./sample-roadworthiness.ts";

/** Of exactly this length, in words that are told apart, so that a lost one is missed. */
export const wordsOf = (name: string, length: number): string => {
  let text = "";
  for (let index = 0; text.length < length; index += 1) text += `${name}${index} `;
  return `${text.slice(0, length - 1).trimEnd()}.`.padEnd(length, ".");
};
/** One word without a place to break. */
export const unbroken = (name: string, length: number): string => `${name}${"wxyz".repeat(length)}`.slice(0, length);

export const longNames = {
  firm: wordsOf("firm", 120),
  depot: wordsOf("depot", 120),
  model: wordsOf("model", 120),
  person: { name: wordsOf("person", 120), staffNumber: unbroken("N", 40) } satisfies Person,
  unbrokenPerson: { name: unbroken("Nobreak", 120), staffNumber: "M9" } satisfies Person,
};
export const longFrame = { ...sample.frame, firmName: longNames.firm, depotName: longNames.depot };
export const longMachine = { ...sample.machine("ABCDEFGHIJKLMNOPQRST"), modelName: longNames.model };

export const reasons = (count: number): string[] =>
  Array.from({ length: count }, (_, index) => `Dangerous defect: what stands at place ${index} of the machine`);

const seen = (name: string, length: number, by: Person): DefectCourse["sightings"][number] => ({
  ...sample.defect().sightings[0],
  by,
  observations: [wordsOf(`${name}seen`, 120)],
  note: wordsOf(name, length),
});

/** A defect in which every text is as long as it may be, and longer. */
export const wordyDefect = (name: string, length: number): DefectCourse => {
  const closed = sample.closedDefect();
  const [repair] = closed.repairs;
  return sample.closedDefect({
    id: `01981c5e-3b70-7cc1-a111-${name.padStart(12, "0").slice(-12)}`,
    machine: longMachine,
    itemName: wordsOf(`${name}item`, 120),
    sightings: [seen(name, length, longNames.person), seen(`${name}again`, length, longNames.unbrokenPerson)],
    regradings: closed.regradings.map((one) => ({ ...one, by: longNames.person, reason: wordsOf(`${name}reason`, length) })),
    repairs: repair
      ? [
          {
            ...repair,
            by: longNames.person,
            workDone: unbroken(`${name}work`, length),
            parts: [{ name: unbroken("Part", 200), quantity: 3, number: unbroken("No", 100) }],
          },
        ]
      : [],
    signOff: {
      at: new Date("2026-07-13T16:05:00.000Z"),
      by: longNames.unbrokenPerson,
      statement: wordsOf(`${name}stated`, length),
      reading: null,
    },
  });
};

/** As many open defects as reasons. */
export const groundedMachine = (count: number): MachineRoadworthinessFacts => ({
  ...roadworthy.fullMachine(),
  standingNow: { standing: "grounded", reasons: reasons(count) },
  openDefects: sample.manyDefects(count * 9).filter(({ status }) => status === "open"),
});

export const wordyMachine = (length: number): MachineRoadworthinessFacts => {
  const defects = ["one", "two", "three"].map((name) => wordyDefect(name, length));
  return {
    ...roadworthy.fullMachine(),
    frame: longFrame,
    machine: longMachine,
    standingNow: { standing: "withdrawn", reasons: [`Withdrawn: ${wordsOf("why", length)}`, unbroken("Stuck", length)] },
    openDefects: defects.map((one) => ({ ...one, status: "open" as const, signOff: null })),
    periodDefects: defects,
    work: defects.flatMap((defect) =>
      defect.repairs.map(({ at, by, workDone }) => ({ done: "repaired" as const, at, by, said: workDone, defect })),
    ),
    papers: [
      {
        ...{ kindName: "Insurance", number: unbroken("P", 60), validFrom: "2026-01-01", validTo: "2036-12-31" },
        ending: {
          day: "2026-07-13",
          reason: "mistaken",
          note: wordsOf("ended", length),
          by: longNames.person,
          at: new Date("2026-07-13T08:02:00Z"),
        },
      },
    ],
  };
};

/** A depot of so many machines, one of them with 67 reasons, one withdrawn with a long note, names as long as they may be. */
export const crowdedFleet = (count: number): FleetRoadworthinessFacts => {
  const [first, second, third, ...others] = roadworthy.fleet(count).machines as [
    MachineOnDay,
    MachineOnDay,
    MachineOnDay,
    ...MachineOnDay[],
  ];
  return {
    ...roadworthy.fleet(0),
    frame: longFrame,
    machines: [
      { ...first, standing: "grounded", reasons: reasons(67) },
      { ...second, machine: longMachine, standing: "withdrawn", reasons: [`Withdrawn: ${wordsOf("why", 4_000)}`] },
      {
        ...third,
        machine: { ...longMachine, registrationMark: "FIT1" },
        standing: "fit",
        reasons: reasons(67),
        check: { at: new Date("2026-07-14T04:40:00.000Z"), by: longNames.person, foundDefects: true },
      },
      ...others,
    ],
  };
};
