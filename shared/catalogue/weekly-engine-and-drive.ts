// Weekly items of the drive, the engine or motor, and the lights.
import { drivenBy, everyMachine, fittedWith, hasEngine, hasGearcaseLevel, hasPower, isElectric, startingWay } from "./features.ts";
import { itemsAt } from "./make-item.ts";
import type { Item } from "./types.ts";
import { partsOfWheelOut } from "./weekly-wheels-and-brakes.ts";

const drive = itemsAt("weekly", "drive");
const engine = itemsAt("weekly", "engine");
const lights = itemsAt("weekly", "lights");

export const weeklyDrive: readonly Item[] = [
  drive("chain-slack", {
    applies: drivenBy("chain"),
    competence: "drive",
    quantity: "chain-slack",
    dailyIds: ["chain"],
    tools: ["steel-rule", "spanners"],
    seen: [
      ["dry", "minor", "common-practice"],
      ["tight-spot", "minor", "common-practice"],
      ["axle-crooked", "minor", "common-practice"],
      ["fouls", "major", "mot-old-6.2"],
      ["could-come-off", "major", "mot-old-6.2"],
    ],
  }),
  drive("chain-wear", {
    applies: drivenBy("chain"),
    competence: "drive",
    quantity: "chain-length",
    tools: ["caliper-gauge", "chain-weight"],
    seen: [
      ["stiff-link", "minor", "common-practice"],
      ["roller-cracked", "major", "mot-old-6.2"],
      ["clip-wrong-way", "major", "mot-old-6.2"],
      ["clip-missing", "major", "common-practice"],
    ],
  }),
  drive("sprockets", {
    applies: drivenBy("chain"),
    competence: "drive",
    tools: ["spanners", "hand-lamp"],
    seen: [
      ["worn-a-little", "minor", "common-practice"],
      ["hooked", "major", "mot-old-6.2"],
      ["tooth-missing", "major", "mot-old-6.2"],
      ["bolts-loose", "major", "common-practice"],
      ["guard-loose", "major", "mot-old-6.2"],
    ],
  }),
  drive("rear-wheel-fast", {
    applies: drivenBy("chain"),
    competence: "wheels-and-tyres",
    finishes: [
      { itemId: "chain-slack", after: ["adjusted", "replaced"] },
      { itemId: "chain-wear", after: ["adjusted", "replaced"] },
      ...["sprockets", ...partsOfWheelOut("rear")].map((itemId) => ({ itemId, after: ["replaced"] as const })),
    ],
    dailyIds: ["rear-wheel"],
    tools: ["torque-wrench"],
    seen: [
      ["marks-differ", "minor", "common-practice"],
      ["adjuster-nut-loose", "minor", "common-practice"],
      ["lock-missing", "major", "mot-5.2.1"],
      ["axle-nut-loose", "major", "mot-5.2.1"],
      ["insecure", "dangerous", "mot-5.2.1"],
    ],
  }),
  drive("belt-weekly", {
    applies: drivenBy("belt"),
    competence: "drive",
    dailyIds: ["belt"],
    tools: ["spanners", "caliper-gauge"],
    seen: [
      ["dusty", "minor", "common-practice"],
      ["cracked", "minor", "common-practice"],
      ["narrow", "major", "common-practice"],
      ["frayed", "major", "mot-old-6.2"],
      ["tooth-missing", "major", "mot-old-6.2"],
    ],
  }),
  drive("shaft-weekly", {
    applies: drivenBy("shaft"),
    competence: "drive",
    dailyIds: ["shaft"],
    tools: ["spanners"],
    seen: [
      ["boot-torn", "minor", "common-practice"],
      ["weeps", "minor", "common-practice"],
      ["drips", "major", "common-practice"],
      ["play", "major", "common-practice"],
      ["bolts-loose", "major", "common-practice"],
    ],
  }),
  drive("hub-motor", {
    applies: drivenBy("hub-motor"),
    competence: "electrics",
    dailyIds: ["motor-cable"],
    tools: ["hand-lamp", "torque-wrench"],
    seen: [
      ["sheath-chafed", "minor", "common-practice"],
      ["plug-corroded", "minor", "common-practice"],
      ["torque-arm-loose", "major", "common-practice"],
      ["cable-pulled", "major", "common-practice"],
      ["copper-shows", "dangerous", "common-practice"],
    ],
  }),
];

export const weeklyEngine: readonly Item[] = [
  engine("engine-oil-level", {
    applies: hasPower("four-stroke"),
    competence: "engine",
    quantity: "engine-oil-level",
    dailyIds: ["engine-oil"],
    tools: ["rag"],
    seen: [
      ["black", "minor", "common-practice"],
      ["weeps", "minor", "common-practice"],
      ["drips", "major", "common-practice"],
      ["milky", "major", "common-practice"],
      ["metal-in-oil", "major", "common-practice"],
    ],
  }),
  engine("two-stroke-oil-level", {
    applies: hasPower("two-stroke"),
    competence: "engine",
    quantity: "engine-oil-level",
    dailyIds: ["two-stroke-oil"],
    tools: ["rag"],
    seen: [
      ["filter-dirty", "minor", "common-practice"],
      ["pipe-hard", "minor", "common-practice"],
      ["pipe-leaks", "major", "common-practice"],
      ["air-in-pipe", "major", "common-practice"],
      ["pump-cable-off-mark", "major", "common-practice"],
    ],
  }),
  engine("gearcase-oil", {
    applies: hasGearcaseLevel,
    competence: "engine",
    quantity: "gearcase-oil-level",
    howVariant: ({ gearcase }) => gearcase,
    tools: ["spanners", "rag"],
    seen: [
      ["weeps", "minor", "common-practice"],
      ["washer-worn", "minor", "common-practice"],
      ["drips", "major", "common-practice"],
      ["milky", "major", "common-practice"],
      ["metal-in-oil", "major", "common-practice"],
    ],
  }),
  engine("spark-plug", {
    applies: hasEngine,
    competence: "engine",
    quantity: "plug-gap",
    dailyIds: ["engine-running"],
    tools: ["plug-spanner", "feeler-gauge", "torque-wrench"],
    seen: [
      ["sooty", "minor", "common-practice"],
      ["oily", "minor", "common-practice"],
      ["cap-loose", "minor", "common-practice"],
      ["electrode-burnt", "minor", "common-practice"],
      ["washer-worn", "minor", "common-practice"],
      ["lead-cracked", "minor", "common-practice"],
      ["plug-loose", "major", "common-practice"],
      ["insulator-cracked", "major", "common-practice"],
      ["thread-damaged", "major", "common-practice"],
    ],
  }),
  engine("air-filter", {
    applies: hasEngine,
    competence: "engine",
    tools: ["screwdriver"],
    seen: [
      ["dusty", "minor", "common-practice"],
      ["torn", "minor", "common-practice"],
      ["missing", "major", "common-practice"],
    ],
  }),
  engine("fuel-system", {
    applies: hasEngine,
    competence: "engine",
    dailyIds: ["fuel"],
    tools: ["hand-lamp"],
    seen: [
      ["pipe-hard", "minor", "common-practice"],
      ["tap-stiff", "minor", "common-practice"],
      ["cap-does-not-seal", "major", "common-practice"],
      ["damp", "major", "common-practice"],
      ["tank-loose", "major", "common-practice"],
      ["drips", "dangerous", "common-practice"],
    ],
  }),
  engine("exhaust", {
    applies: hasEngine,
    competence: "engine",
    dailyIds: ["engine-running"],
    tools: ["spanners"],
    seen: [
      ["rusty", "minor", "common-practice"],
      ["blows", "minor", "common-practice"],
      ["bracket-broken", "major", "common-practice"],
      ["guard-missing", "major", "common-practice"],
      ["coming-off", "dangerous", "common-practice"],
    ],
  }),
  engine("starting", {
    applies: hasEngine,
    competence: "engine",
    howVariant: startingWay,
    dailyIds: ["engine-running"],
    seen: [
      ["hard-to-start", "minor", "common-practice"],
      ["idle-uneven", "minor", "common-practice"],
      ["slips", "minor", "common-practice"],
      ["will-not-stop", "major", "common-practice"],
    ],
  }),
  engine("battery-state", {
    applies: isElectric,
    competence: "electrics",
    quantity: "charge",
    dailyIds: ["charge"],
    tools: ["charger"],
    seen: [
      ["range-shorter", "minor", "common-practice"],
      ["charges-slowly", "minor", "common-practice"],
      ["not-locked", "major", "common-practice"],
      ["warning-lamp", "major", "common-practice"],
      ["swollen", "dangerous", "common-practice"],
    ],
  }),
  engine("power-cables", {
    applies: isElectric,
    competence: "electrics",
    dailyIds: ["charge", "motor-running"],
    tools: ["hand-lamp"],
    seen: [
      ["cover-loose", "minor", "common-practice"],
      ["contacts-dirty", "minor", "common-practice"],
      ["plug-browned", "major", "common-practice"],
      ["insulation-chafed", "major", "common-practice"],
      ["copper-shows", "dangerous", "common-practice"],
    ],
  }),
];

export const weeklyLights: readonly Item[] = [
  lights("headlamp", {
    applies: everyMachine,
    competence: "electrics",
    howVariant: ({ power }) => (power === "electric" ? "electric" : "engine"),
    dailyIds: ["lamps"],
    tools: ["screwdriver"],
    seen: [
      ["lens-cracked", "minor", "mot-4.1.1"],
      ["part-out", "minor", "mot-4.1.1"],
      ["one-beam-out", "major", "mot-4.1.1"],
      ["lens-missing", "major", "mot-4.1.1"],
      ["reflector-dull", "major", "mot-4.1.1"],
      ["aim-wrong", "major", "mot-4.1.2"],
      ["loose", "major", "mot-4.1.1"],
      ["out", "major", "mot-4.1.1"],
    ],
  }),
  lights("rear-lamps", {
    applies: everyMachine,
    competence: "electrics",
    dailyIds: ["lamps", "stop-lamp"],
    tools: ["screwdriver"],
    seen: [
      ["lens-cracked", "minor", "common-practice"],
      ["switch-late", "minor", "common-practice"],
      ["plate-lamp-out", "minor", "common-practice"],
      ["reflector-missing", "major", "mot-old-1.4"],
      ["stop-lamp-one-brake-only", "major", "mot-old-stop-lamps"],
      ["stop-lamp-stays-on", "major", "common-practice"],
      ["out", "major", "common-practice"],
    ],
  }),
  lights("indicators-weekly", {
    applies: fittedWith("indicators"),
    competence: "electrics",
    dailyIds: ["indicators"],
    tools: ["screwdriver"],
    seen: [
      ["wrong-rhythm", "minor", "common-practice"],
      ["lens-broken", "minor", "common-practice"],
      ["stalk-loose", "minor", "common-practice"],
      ["one-out", "major", "common-practice"],
    ],
  }),
  lights("horn-and-switches", {
    applies: everyMachine,
    competence: "electrics",
    dailyIds: ["horn"],
    seen: [
      ["weak", "minor", "common-practice"],
      ["switch-sticks", "minor", "common-practice"],
      ["silent", "major", "mot-old-stop-lamps"],
      ["stop-switch-dead", "major", "common-practice"],
    ],
  }),
  lights("wiring", {
    applies: everyMachine,
    competence: "electrics",
    tools: ["hand-lamp", "multimeter"],
    seen: [
      ["terminals-dirty", "minor", "common-practice"],
      ["loom-loose", "minor", "common-practice"],
      ["battery-loose", "major", "common-practice"],
      ["insulation-chafed", "major", "common-practice"],
      ["scorched", "dangerous", "common-practice"],
    ],
  }),
];
