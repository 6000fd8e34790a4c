// How the daily sheet covers the two lists that riders learn in training, and the parts of a published daily report.
// Ids of items that a machine lacks (a rod on a cable brake) are named too: at least one of each letter applies to every machine.

export interface MnemonicLetter {
  readonly letter: string;
  /** Words key of what the letter stands for. */
  readonly wordKey: `mnemonic.${string}`;
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

/** T-CLOCS as taught by the Motorcycle Safety Foundation (source `t-clocs`). */
export const tClocs: readonly MnemonicLetter[] = [
  { letter: "T", wordKey: "mnemonic.t-clocs.t", petrol: [...tyres, ...wheels], electric: [...tyres, ...wheels] },
  {
    letter: "C",
    wordKey: "mnemonic.t-clocs.c",
    petrol: ["throttle", "clutch", ...brakes],
    electric: ["throttle", ...brakes],
  },
  { letter: "L", wordKey: "mnemonic.t-clocs.l", petrol: [...lamps, "horn"], electric: [...lamps, "horn", "charge", "motor-running"] },
  {
    letter: "O",
    wordKey: "mnemonic.t-clocs.o",
    petrol: ["fuel", "engine-oil", "two-stroke-oil", "engine-running", ...hydraulics],
    // No oil to look at: what can still be low or drip is brake fluid, fork oil, the oil of a gearcase.
    electric: ["motor-running", ...hydraulics],
  },
  {
    letter: "C",
    wordKey: "mnemonic.t-clocs.chassis",
    petrol: ["steering", "wheel-play", "bodywork", ...drive],
    electric: ["steering", "wheel-play", "bodywork", ...drive],
  },
  { letter: "S", wordKey: "mnemonic.t-clocs.s", petrol: ["stand"], electric: ["stand"] },
];

/** POWDERS as taught in the United Kingdom (source `powders`). */
export const powders: readonly MnemonicLetter[] = [
  { letter: "P", wordKey: "mnemonic.powders.p", petrol: ["fuel"], electric: ["charge"] },
  {
    letter: "O",
    wordKey: "mnemonic.powders.o",
    petrol: ["engine-oil", "two-stroke-oil", ...hydraulics],
    electric: ["motor-running", ...hydraulics],
  },
  // Machines of this size are cooled by air: what is left of the letter is the look for anything that drips.
  { letter: "W", wordKey: "mnemonic.powders.w", petrol: ["engine-running"], electric: ["motor-running"] },
  { letter: "D", wordKey: "mnemonic.powders.d", petrol: ["bodywork", ...drive], electric: ["bodywork", ...drive] },
  {
    letter: "E",
    wordKey: "mnemonic.powders.e",
    petrol: [...lamps, "horn", "stand", "steering"],
    electric: [...lamps, "horn", "stand", "steering", "charge"],
  },
  { letter: "R", wordKey: "mnemonic.powders.r", petrol: tyres, electric: tyres },
  { letter: "S", wordKey: "mnemonic.powders.s", petrol: [...brakes, "steering"], electric: [...brakes, "steering"] },
];

/**
 * The 8 of the 11 parts of 49 CFR 396.11(a)(1) that a motorcycle has (source `us-daily-report`), each with its daily items. Left out:
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
