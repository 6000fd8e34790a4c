// The weekly inspection: by gauge and spanner. Deeper than the daily check at every station, and with every measured quantity.
import { either } from "./condition.ts";
import { carriesLoad, everyMachine, fittedWith, hasBrake, hasClutchLever, hasPedals, mayHaveStandCutOut } from "./features.ts";
import { itemsAt } from "./make-item.ts";
import type { Item } from "./types.ts";
import { weeklyDrive, weeklyEngine } from "./weekly-engine-and-drive.ts";
import { weeklyLights } from "./weekly-lights.ts";
import { weeklyBrake, weeklyBrakeFeel, weeklyBrakeTravel, weeklyWheel } from "./weekly-wheels-and-brakes.ts";

const saddle = itemsAt("weekly", "saddle");
const frontWheel = itemsAt("weekly", "front-wheel");
const rearWheel = itemsAt("weekly", "rear-wheel");
const bench = itemsAt("weekly", "bench");
const rolling = itemsAt("weekly", "rolling");

/** All weekly items in walking order; which of them a machine has is said by `applies`. */
export const weeklyItems: readonly Item[] = [
  saddle("steering-head", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    dailyIds: ["steering"],
    tools: ["wheel-stand"],
    seen: [
      ["dry", "minor", "common-practice"],
      ["stiff", "major", "mot-old-2.2"],
      ["notchy", "major", "mot-old-2.2"],
      ["play", "major", "mot-old-2.2"],
      ["very-loose", "dangerous", "common-practice"],
    ],
  }),
  saddle("handlebars", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    dailyIds: ["steering"],
    tools: ["torque-wrench"],
    seen: [
      ["grip-worn", "advisory", "common-practice"],
      ["grip-loose", "major", "mot-old-2.1"],
      ["cable-taut", "major", "mot-old-2.1"],
      ["fouls", "major", "mot-old-2.1"],
      ["bent", "major", "mot-old-2.1"],
      ["clamp-loose", "dangerous", "common-practice"],
      ["cracked", "dangerous", "common-practice"],
    ],
  }),
  saddle("throttle-free-play", {
    applies: everyMachine,
    competence: "engine",
    quantity: "throttle-free-play",
    howVariant: ({ power }) => (power === "electric" ? "electric" : "engine"),
    dailyIds: ["throttle"],
    tools: ["steel-rule"],
    seen: [
      ["heavy", "minor", "common-practice"],
      ["cable-chafed", "major", "common-practice", { onlyRepair: "new-part" }],
      ["rises-on-lock", "major", "mot-old-2.1"],
      ["does-not-close", "dangerous", "common-practice"],
    ],
  }),
  saddle("clutch-free-travel", {
    applies: hasClutchLever,
    competence: "engine",
    quantity: "clutch-free-travel",
    dailyIds: ["clutch"],
    tools: ["steel-rule", "spanners"],
    seen: [
      ["heavy", "minor", "common-practice"],
      ["slips", "minor", "common-practice"],
      ["drags", "major", "common-practice"],
      ["cable-frayed", "major", "common-practice", { onlyRepair: "new-part" }],
      ["lever-broken", "major", "mot-old-6.2"],
      ["no-adjustment-left", "major", "common-practice"],
    ],
  }),
  saddle("levers-and-pivots", {
    applies: everyMachine,
    competence: "brakes",
    tools: ["oil-can", "screwdriver"],
    seen: [
      ["dry", "minor", "common-practice"],
      ["tight", "major", "mot-1.1.1"],
      ["pivot-worn", "major", "mot-1.1.1"],
      ["pad-smooth", "major", "mot-1.1.2"],
      ["insecure", "major", "mot-1.1.2"],
      ["cannot-apply", "dangerous", "mot-1.1.2"],
    ],
  }),
  weeklyBrakeTravel("front"),
  weeklyBrakeFeel("front"),
  ...weeklyWheel("front"),
  ...weeklyBrake("front"),
  frontWheel("front-fork", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    dailyIds: ["steering"],
    tools: ["hand-lamp"],
    seen: [
      ["light-misting", "advisory", "common-practice"],
      ["oil-leak", "major", "mot-old-2.3"],
      ["play", "major", "mot-old-2.3"],
      ["loose-in-yoke", "major", "mot-old-2.3"],
      ["no-damping", "major", "mot-old-2.3"],
      ["bent-or-cracked", "dangerous", "common-practice"],
    ],
  }),
  ...weeklyWheel("rear"),
  weeklyBrakeTravel("rear"),
  weeklyBrakeFeel("rear"),
  ...weeklyBrake("rear"),
  rearWheel("brake-rods", {
    applies: either(hasBrake("front", "drum-rod"), hasBrake("rear", "drum-rod")),
    competence: "brakes",
    quantity: "brake-rod-diameter",
    dailyIds: ["front-brake-rod", "rear-brake-rod"],
    tools: ["caliper-gauge", "spanners"],
    seen: [
      ["dry", "minor", "common-practice"],
      ["eye-worn", "major", "common-practice"],
      ["bent", "major", "common-practice"],
      ["thread-at-end", "major", "common-practice"],
      ["pin-missing", "dangerous", "common-practice"],
    ],
  }),
  rearWheel("rear-suspension", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    dailyIds: ["rear-damper"],
    tools: ["wheel-stand", "torque-wrench"],
    seen: [
      ["light-misting", "advisory", "common-practice"],
      ["oil-leak", "major", "common-practice"],
      ["no-damping", "major", "common-practice"],
      ["swinging-arm-play", "major", "swinging-arm"],
      ["mount-loose", "major", "common-practice"],
      ["cracked", "dangerous", "common-practice"],
    ],
  }),
  ...weeklyDrive,
  ...weeklyEngine,
  ...weeklyLights,
  bench("frame", {
    applies: everyMachine,
    competence: "general",
    tools: ["hand-lamp"],
    seen: [
      ["paint-flaking", "advisory", "common-practice"],
      ["number-unreadable", "major", "directive-identity"],
      ["rust-scale", "major", "mot-6.1.1"],
      ["crack", "major", "mot-6.1.1"],
      ["bent", "major", "mot-6.1.1"],
      ["steering-or-brakes-affected", "dangerous", "mot-6.1.1"],
    ],
  }),
  bench("fasteners", {
    applies: everyMachine,
    competence: "general",
    tools: ["spanners", "torque-wrench"],
    seen: [
      ["trim-loose", "minor", "common-practice"],
      ["trim-missing", "minor", "common-practice"],
      ["mount-loose", "major", "common-practice"],
      ["thread-stripped", "major", "common-practice"],
      ["safety-bolt-missing", "dangerous", "common-practice"],
    ],
  }),
  bench("seat-and-footrests", {
    applies: everyMachine,
    competence: "general",
    dailyIds: ["bodywork"],
    tools: ["spanners"],
    seen: [
      ["cover-torn", "advisory", "common-practice"],
      ["rubber-worn", "advisory", "common-practice"],
      ["seat-loose", "major", "mot-old-6.2"],
      ["footrest-loose", "major", "mot-old-6.2"],
    ],
  }),
  bench("pedals", {
    applies: hasPedals,
    competence: "drive",
    tools: ["spanners"],
    seen: [
      ["rubber-worn", "advisory", "common-practice"],
      ["stiff", "minor", "common-practice"],
      ["crank-loose", "major", "common-practice"],
      ["pedal-coming-off", "major", "common-practice"],
    ],
  }),
  bench("stand-weekly", {
    applies: everyMachine,
    competence: "general",
    dailyIds: ["stand"],
    tools: ["spanners", "oil-can"],
    seen: [
      ["dry", "minor", "common-practice"],
      ["bent", "minor", "common-practice"],
      ["spring-weak", "major", "common-practice"],
      ["bolt-loose", "major", "common-practice"],
      ["cut-out-dead", "major", "common-practice", { applies: mayHaveStandCutOut }],
      ["crack", "major", "common-practice"],
      ["does-not-stay-up", "dangerous", "common-practice"],
    ],
  }),
  bench("bodywork-weekly", {
    applies: everyMachine,
    competence: "general",
    dailyIds: ["bodywork"],
    tools: ["spanners"],
    seen: [
      ["loose-but-holds", "minor", "common-practice"],
      ["mirror-cracked", "minor", "common-practice"],
      ["plate-unreadable", "major", "directive-identity"],
      ["sharp-edge", "major", "common-practice"],
      ["touches-wheel", "major", "common-practice"],
    ],
  }),
  bench("load-mounting", {
    applies: carriesLoad,
    competence: "general",
    dailyIds: ["bodywork"],
    tools: ["spanners"],
    seen: [
      ["scratched", "advisory", "common-practice"],
      ["lid-does-not-lock", "minor", "common-practice", { applies: fittedWith("loadBox") }],
      ["bracket-cracked", "major", "common-practice"],
      ["bolts-loose", "major", "common-practice"],
      ["could-fall-off", "dangerous", "common-practice"],
    ],
  }),
  rolling("brake-efficiency", {
    applies: everyMachine,
    competence: "brakes",
    quantity: "brake-efficiency",
    // Not every yard has a measured stretch: without one the test is by feel.
    quantityOptional: true,
    dailyIds: ["rolling-brake-test"],
    tools: ["measuring-tape"],
    seen: [
      ["squeals", "minor", "common-practice"],
      ["one-weak", "major", "common-practice"],
      ["grabs", "major", "common-practice"],
      ["pulls-to-side", "major", "common-practice"],
      ["stays-on", "major", "mot-1.1.2"],
      ["both-weak", "dangerous", "common-practice"],
    ],
  }),
];
