// How the daily sheet covers the two lists that riders learn in training, and the parts of a published daily report.
// Ids of items that a machine lacks (a rod on a cable brake) are named too: at least one of each letter applies to every machine.

interface MnemonicLetter {
  readonly letter: string;
  /** Daily item ids, for machines with an engine and for electric ones. */
  readonly petrol: readonly string[];
  readonly electric: readonly string[];
}

const brakes = [
  "front-brake-cable",
  "front-brake-rod",
  "front-brake-hydraulic",
  "rear-brake-cable",
  "rear-brake-rod",
  "rear-brake-hydraulic",
  "rolling-brake-test",
];
const hydraulics = ["front-brake-hydraulic", "rear-brake-hydraulic"];
const tyres = ["front-tyre-pressure", "front-tyre-tread", "rear-tyre-pressure", "rear-tyre-tread"];
const wheels = ["front-wheel", "rear-wheel", "wheel-play"];
const drive = ["chain", "belt", "shaft", "motor-cable"];
const lamps = ["lamps", "stop-lamp", "indicators"];

/** T-CLOCS, groups T, C, L, O, C, S, as taught in rider training by the Motorcycle Safety Foundation. */
export const tClocs: readonly MnemonicLetter[] = [
  { letter: "T", petrol: [...tyres, ...wheels], electric: [...tyres, ...wheels] },
  {
    letter: "C",

    petrol: ["throttle", "clutch", ...brakes],
    electric: ["throttle", ...brakes],
  },
  { letter: "L", petrol: [...lamps, "horn"], electric: [...lamps, "horn", "charge", "motor-running"] },
  {
    letter: "O",

    petrol: ["fuel", "engine-oil", "two-stroke-oil", "engine-running", ...hydraulics],
    // No oil to look at: what can still be low or drip is brake fluid, fork oil, the oil of a gearcase.
    electric: ["motor-running", ...hydraulics],
  },
  {
    letter: "C",

    petrol: ["steering", "wheel-play", "bodywork", ...drive],
    electric: ["steering", "wheel-play", "bodywork", ...drive],
  },
  { letter: "S", petrol: ["stand"], electric: ["stand"] },
];

/** POWDERS as taught by fire services in the United Kingdom. */
export const powders: readonly MnemonicLetter[] = [
  { letter: "P", petrol: ["fuel"], electric: ["charge"] },
  {
    letter: "O",

    petrol: ["engine-oil", "two-stroke-oil", ...hydraulics],
    electric: ["motor-running", ...hydraulics],
  },
  // Most machines of this size are cooled by air: what is left of the letter there is the look for anything that drips.
  { letter: "W", petrol: ["coolant", "engine-running"], electric: ["motor-running"] },
  { letter: "D", petrol: ["bodywork", ...drive], electric: ["bodywork", ...drive] },
  {
    letter: "E",

    petrol: [...lamps, "horn", "stand", "steering"],
    electric: [...lamps, "horn", "stand", "steering", "charge"],
  },
  { letter: "R", petrol: tyres, electric: tyres },
  { letter: "S", petrol: [...brakes, "steering"], electric: [...brakes, "steering"] },
];

/**
 * The 8 of the 11 parts of 49 CFR 396.11(a)(1) that a motorcycle has (as in force; a model only, small motorcycles are outside it), each with its daily items. Left out:
 * parking brake, wipers, coupling devices. Emergency equipment is what the rider wears to be seen and protected.
 */
export const usDailyReportParts: Readonly<Record<string, readonly string[]>> = {
  "service-brakes": brakes,
  steering: ["steering"],
  "lighting-and-reflectors": lamps,
  tyres,
  horn: ["horn"],
  mirrors: ["bodywork"],
  "wheels-and-rims": wheels,
  "emergency-equipment": ["rider-gear"],
};
