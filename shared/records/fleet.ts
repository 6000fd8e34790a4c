// What the records say of depots and models, of machines and of their papers.
import { z } from "zod";
import { arrival, day, idOf, instant, photos, standingShape, text } from "./parts.ts";

// Depots

const ruleSet = z.enum(["gb", "eu", "us-model"]);
/** since 2026-11-29; null: as the firm's policy says */
const depotSecondPerson = z.enum(["grounding", "all", "off"]).nullable();

/** since 2026-11-30; null: as the firm's policy says */
const clearanceOverMidnight = z.boolean().nullable().exactOptional();

export const depotAdded = z.strictObject({
  depotId: idOf,
  name: text,
  timeZone: text,
  ruleSet,
  workshopHoursPerDay: z.number(),
  secondPerson: depotSecondPerson.exactOptional(),
  clearanceOverMidnight,
});

/** Only what changed of the depot. */
const depotPart = z.strictObject({
  name: text.exactOptional(),
  ruleSet: ruleSet.exactOptional(),
  workshopHoursPerDay: z.number().exactOptional(),
  secondPerson: depotSecondPerson.exactOptional(),
  clearanceOverMidnight,
});

export const depotAmended = z.strictObject({ depotId: idOf, before: depotPart, after: depotPart });

// Models

const wheel = z.enum(["spoked", "cast"]);
const brake = z.strictObject({ kind: z.enum(["drum-cable", "drum-rod", "disc-hydraulic"]), workedBy: z.enum(["hand", "foot"]) });

const features = z.strictObject({
  drive: z.enum(["chain", "belt", "shaft", "hub-motor"]),
  wheels: z.strictObject({ front: wheel, rear: wheel }),
  brakes: z.strictObject({ front: brake, rear: brake }),
  power: z.enum(["four-stroke", "two-stroke", "electric"]),
  start: z.enum(["kick", "electric", "pedals"]),
  gearcase: z.enum(["dipstick", "filler-level", "none"]),
  automaticClutch: z.boolean().optional(),
  /** these two since 2026-11-30 */
  cooling: z.enum(["air", "liquid"]).exactOptional(),
  standCutOut: z.boolean().exactOptional(),
  choke: z.boolean(),
  decompressor: z.boolean(),
  pedals: z.boolean(),
  indicators: z.boolean(),
  carrier: z.boolean(),
  loadBox: z.boolean(),
});

/** The same figure for both wheels; a handbook may lack any of them. */
const atBoth = <One extends z.ZodType>(one: One) => z.strictObject({ front: one.optional(), rear: one.optional() }).optional();
const number = z.number();
const rangeMm = z.strictObject({ minMm: number, maxMm: number });
const pressure = z.strictObject({ value: number, unit: z.enum(["kPa", "psi", "bar"]) });

const interval = z.strictObject({ everyKm: number.optional(), everyDays: number.optional() });

const handbook = z.strictObject({
  tyrePressure: atBoth(z.strictObject({ solo: pressure, laden: pressure.optional() })),
  treadLeastMm: atBoth(number),
  chainSlack: z
    .strictObject({
      minMm: number,
      maxMm: number,
      method: z.enum(["total-travel", "one-way", "gap-to-swinging-arm"]),
      run: z.enum(["upper", "lower"]),
      wheel: z.enum(["loaded", "free"]),
    })
    .optional(),
  chain: z
    .strictObject({
      pitchMm: number,
      pitches: number,
      loadN: number.optional(),
      limitPercent: number.optional(),
      rearSprocketTeeth: number.optional(),
      adjusterPitchMm: number.optional(),
      adjusterRangeMm: number.optional(),
      spanMm: number.optional(),
    })
    .optional(),
  brakeFreeTravel: atBoth(rangeMm),
  liningLeastMm: atBoth(number),
  liningMaterial: atBoth(z.enum(["sintered", "other"])),
  wheelRunOutMostMm: atBoth(number),
  rimMaterial: z.strictObject({ front: z.enum(["steel", "aluminium"]), rear: z.enum(["steel", "aluminium"]) }).optional(),
  brakeRodNewMm: number.optional(),
  plugGap: rangeMm.optional(),
  clutchFreeTravel: rangeMm.optional(),
  throttleFreePlay: rangeMm.optional(),
  oilChange: interval.optional(),
  /** these four since 2026-11-30 */
  brakeFluid: interval.exactOptional(),
  valveClearance: interval.exactOptional(),
  belt: interval.exactOptional(),
  coolant: interval.exactOptional(),
});

const model = { name: text, engineCc: number.nullable(), features, handbook };

export const modelAdded = z.strictObject({ modelId: idOf, ...model });

export const modelRevised = z.strictObject({
  modelId: idOf,
  /** the new revision */
  revision: number,
  before: z.strictObject(model),
  after: z.strictObject(model),
});

// Machines

export const machinesImported = z.strictObject({ imported: number, machineIds: z.array(idOf) });

const particulars = { registrationMark: text, vin: text.nullable(), modelId: idOf, depotId: idOf, inServiceFrom: day, odometerKm: number };

/** It begins the machine's chain. */
export const machineAdded = z.strictObject(particulars);

/** Only what changed of the machine. */
const machinePart = z.strictObject({
  registrationMark: text.exactOptional(),
  vin: text.nullable().exactOptional(),
  modelId: idOf.exactOptional(),
  depotId: idOf.exactOptional(),
  inServiceFrom: day.exactOptional(),
  odometerKm: number.exactOptional(),
});

export const machineAmended = z.strictObject({
  before: machinePart,
  after: machinePart,
  /** since 2026-11-29, where it moved to another depot; until then a machine kept its clearances */
  clearancesEnded: z.literal(true).exactOptional(),
  /** why the odometer was set */
  reason: text.optional(),
  ...arrival,
});

export const machineWithdrawn = z.strictObject({ reason: text, ...arrival });
export const machineReturned = z.strictObject({ withdrawnSince: instant, ...arrival });

/** Sold or scrapped: since 2026-11-30. Its mark is free for another machine from then on. */
export const machineDisposed = z.strictObject({ how: z.enum(["sold", "scrapped"]), note: text.exactOptional(), ...arrival });
/** Since 2026-11-30: it had been called sold or scrapped by mistake, or was bought back. */
export const machineReinstated = z.strictObject({ disposedSince: instant, how: z.enum(["sold", "scrapped"]), ...arrival });

// Papers of a machine

const paperKind = z.enum(["insurance", "registration", "road-tax", "roadworthiness-test"]);
const paper = { kind: paperKind, number: text, validFrom: day, validTo: day };

export const paperAdded = z.strictObject({
  ...paper,
  /** since 2026-11-29, where the client made the id: what was sent */
  submitted: z.strictObject({ id: idOf.optional(), ...paper, photoIds: z.array(idOf).optional() }).exactOptional(),
  /** since 2026-11-30, where it was photographed */
  photos: photos.exactOptional(),
  ...arrival,
});

/** The papers of one kind taken together, as a machine's state holds them. */
const heldPapers = z.strictObject({
  kind: text,
  validFrom: day.exactOptional(),
  validTo: day,
  gaps: z.array(z.strictObject({ after: day, before: day })).exactOptional(),
  failed: z.strictObject({ since: day, liftedFrom: day.exactOptional() }).exactOptional(),
});

/** Recorded since 2026-11-29. */
export const paperEnded = z.strictObject({
  /** as it was */
  paper: z.strictObject({ id: idOf, machineId: idOf, ...paper, recordedAt: instant }),
  submitted: z.strictObject({
    id: idOf.optional(),
    paperId: idOf,
    day,
    reason: z.enum(["cancelled", "replaced", "mistaken", "failed"]),
    note: text.optional(),
  }),
  outcome: z.strictObject({
    grounds: z.boolean(),
    /** the papers of that kind after it; null: none that ever counted */
    held: heldPapers.nullable(),
    ...standingShape,
  }),
  /** without it the machine may not be ridden from then on, and every clearance ended */
  grounded: z.literal(true).exactOptional(),
  ...arrival,
});
