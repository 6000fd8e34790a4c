// A model: the features that choose the items of its sheets, and the figures of its maker's handbook.
// A figure the handbook does not give is left out; it is then 'not set', never a guess.
import { z } from "zod";

const wheelSchema = z.enum(["spoked", "cast"]);
const brakeSchema = z.strictObject({
  kind: z.enum(["drum-cable", "drum-rod", "disc-hydraulic"]),
  workedBy: z.enum(["hand", "foot"]),
});

export const featuresSchema = z
  .strictObject({
    drive: z.enum(["chain", "belt", "shaft", "hub-motor"]),
    wheels: z.strictObject({ front: wheelSchema, rear: wheelSchema }),
    brakes: z.strictObject({ front: brakeSchema, rear: brakeSchema }),
    power: z.enum(["four-stroke", "two-stroke", "electric"]),
    start: z.enum(["kick", "electric", "pedals"]),
    gearcase: z.enum(["dipstick", "filler-level", "none"]),
    automaticClutch: z.boolean().optional().meta({ description: "chain or shaft drive without a clutch lever" }),
    cooling: z.enum(["air", "liquid"]).exactOptional().meta({ description: "left out: by air, as most machines of this size" }),
    standCutOut: z.boolean().exactOptional().meta({ description: "a switch at the stand cuts the engine; left out: nobody has said" }),
    choke: z.boolean().default(false),
    decompressor: z.boolean().default(false),
    pedals: z.boolean().default(false),
    indicators: z.boolean().default(false),
    carrier: z.boolean().default(false),
    loadBox: z.boolean().default(false),
  })
  .meta({ id: "Features" });
export type Features = z.infer<typeof featuresSchema>;

const positive = z.number().positive().finite();
/** A pressure in the unit that the handbook prints: kept as printed, never converted back and forth. */
const printedPressureSchema = z.strictObject({ value: positive, unit: z.enum(["kPa", "psi", "bar"]) });
const tyrePressureSchema = z.strictObject({ solo: printedPressureSchema, laden: printedPressureSchema.optional() });
const rangeMmSchema = z
  .strictObject({ minMm: z.number().nonnegative(), maxMm: positive })
  .refine((range) => range.minMm <= range.maxMm, { message: "minMm is above maxMm", path: ["minMm"] });

const liningMaterialSchema = z.enum(["sintered", "other"]);

/** By distance or by days, whichever comes first; a handbook may give one of them. */
const intervalSchema = z.strictObject({ everyKm: positive.optional(), everyDays: z.number().int().positive().optional() });

export const handbookSchema = z
  .strictObject({
    /** cold pressures */
    tyrePressure: z.strictObject({ front: tyrePressureSchema.optional(), rear: tyrePressureSchema.optional() }).optional(),
    treadLeastMm: z.strictObject({ front: positive.optional(), rear: positive.optional() }).optional(),
    /** A slack limit means nothing without its method: what is measured, on which run, wheel loaded or free. */
    chainSlack: z
      .strictObject({
        minMm: z.number().nonnegative(),
        maxMm: positive,
        method: z.enum(["total-travel", "one-way", "gap-to-swinging-arm"]),
        run: z.enum(["upper", "lower"]),
        wheel: z.enum(["loaded", "free"]),
      })
      .refine((range) => range.minMm <= range.maxMm, { message: "minMm is above maxMm", path: ["minMm"] })
      .optional(),
    /** Length is taken over `pitches` pitches (pitches + 1 pins) with `loadN` hung on the chain, the worst of several places. */
    chain: z
      .strictObject({
        pitchMm: positive,
        pitches: z.number().int().min(4).max(60),
        loadN: positive.optional(),
        limitPercent: positive.max(3).optional(),
        rearSprocketTeeth: z.number().int().min(10).max(120).optional(),
        adjusterPitchMm: positive.optional(),
        /** how far the adjusters can move the axle back before they end, from where it stands on a new chain */
        adjusterRangeMm: positive.optional(),
        spanMm: positive.optional(),
      })
      .optional(),
    brakeFreeTravel: z.strictObject({ front: rangeMmSchema.optional(), rear: rangeMmSchema.optional() }).optional(),
    liningLeastMm: z.strictObject({ front: positive.optional(), rear: positive.optional() }).optional(),
    /** the law may set another least for sintered pads; taken as not sintered unless said */
    liningMaterial: z.strictObject({ front: liningMaterialSchema.optional(), rear: liningMaterialSchema.optional() }).optional(),
    wheelRunOutMostMm: z.strictObject({ front: positive.optional(), rear: positive.optional() }).optional(),
    rimMaterial: z.strictObject({ front: z.enum(["steel", "aluminium"]), rear: z.enum(["steel", "aluminium"]) }).optional(),
    brakeRodNewMm: positive.optional(),
    plugGap: rangeMmSchema.optional(),
    clutchFreeTravel: rangeMmSchema.optional(),
    throttleFreePlay: rangeMmSchema.optional(),
    oilChange: intervalSchema.optional(),
    /** renewed for its age: it draws water out of the air */
    brakeFluid: intervalSchema.exactOptional(),
    valveClearance: intervalSchema.exactOptional(),
    belt: intervalSchema.exactOptional(),
    coolant: intervalSchema.exactOptional(),
  })
  .meta({ id: "Handbook", description: "The maker's handbook figures; a missing figure is 'not set'" });
export type Handbook = z.infer<typeof handbookSchema>;

export const ruleSetSchema = z
  .enum(["gb", "eu", "us-model"])
  .meta({ id: "RuleSet", description: "Which legal limits a depot lives under" });
export type RuleSet = z.infer<typeof ruleSetSchema>;
