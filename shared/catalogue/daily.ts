// The daily check: a walk round by hand and eye, about a minute. Few items, each answered by what is seen.
import { dailyBrake, dailyWheel } from "./daily-wheels-and-brakes.ts";
import {
  carriesLoad,
  drivenBy,
  everyMachine,
  fittedWith,
  hasClutchLever,
  hasEngine,
  hasPower,
  isElectric,
  isLiquidCooled,
  mayHaveStandCutOut,
  startingWay,
} from "./features.ts";
import { atTheKerb, itemsAt, measuredAtTheKerb } from "./make-item.ts";
import type { Item } from "./types.ts";

const saddle = itemsAt("daily", "saddle");
const rearWheel = itemsAt("daily", "rear-wheel");
const drive = itemsAt("daily", "drive");
const engine = itemsAt("daily", "engine");
const lights = itemsAt("daily", "lights");
const rolling = itemsAt("daily", "rolling");
const rider = itemsAt("daily", "rider");

/** All daily items in walking order; which of them a machine has is said by `applies`. */
export const dailyItems: readonly Item[] = [
  saddle("steering", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    seen: [
      ["grip-worn", "advisory", "common-practice"],
      ["cable-taut", "major", "mot-old-2.1"],
      ["notchy", "major", "mot-old-2.2"],
      ["knock", "major", "mot-old-2.2"],
      ["fork-oil", "major", "mot-old-2.3"],
      ["grip-loose", "major", "mot-old-2.1"],
      ["bars-loose", "dangerous", "common-practice"],
    ],
  }),
  // By the saddle, where it is pressed down; the rear wheel has the most to look at already.
  saddle("rear-damper", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    seen: [
      ["light-misting", "advisory", "common-practice"],
      ["bounces-on", "major", "common-practice"],
      ["oil-leak", "major", "common-practice"],
      ["mount-loose", "major", "common-practice"],
      ["spring-broken", "dangerous", "common-practice"],
    ],
  }),
  saddle("throttle", {
    applies: everyMachine,
    competence: "engine",
    howVariant: ({ power }) => (power === "electric" ? "electric" : "engine"),
    seen: [
      ["heavy", "minor", "common-practice"],
      ["long-play", "minor", "common-practice"],
      ["cable-chafed", "major", "common-practice", { onlyRepair: "new-part" }],
      ["rises-on-lock", "major", "mot-old-2.1"],
      ["does-not-close", "dangerous", "common-practice"],
    ],
  }),
  saddle("clutch", {
    applies: hasClutchLever,
    competence: "engine",
    seen: [
      ["play-wrong", "minor", "common-practice"],
      ["slips", "minor", "common-practice"],
      ["drags", "major", "common-practice"],
      ["cable-frayed", "major", "common-practice", { onlyRepair: "new-part" }],
      ["lever-broken", "major", "mot-old-6.2"],
    ],
  }),
  ...dailyBrake("front"),
  ...dailyWheel("front"),
  ...dailyWheel("rear"),
  rearWheel("wheel-play", {
    applies: everyMachine,
    competence: "steering-and-bearings",
    seen: [
      ["grease-out", "minor", "common-practice"],
      ["front-knock", "major", "mot-5.1.3"],
      ["rear-knock", "major", "mot-5.1.3"],
      ["rough", "major", "mot-5.1.3"],
      ["very-loose", "dangerous", "mot-5.1.3"],
    ],
  }),
  ...dailyBrake("rear"),
  rearWheel("bodywork", {
    applies: everyMachine,
    competence: "general",
    howVariant: (features) => (carriesLoad(features) ? "load" : "plain"),
    seen: [
      ["loose-but-holds", "minor", "common-practice", atTheKerb],
      ["mirror-cracked", "minor", "common-practice"],
      ["lid-does-not-lock", "minor", "common-practice", { applies: fittedWith("loadBox") }],
      ["plate-missing", "major", "directive-identity"],
      ["seat-or-footrest-loose", "major", "mot-old-6.2"],
      ["touches-wheel", "major", "common-practice"],
      ["carrier-loose", "major", "common-practice", { applies: carriesLoad }],
      ["frame-cracked", "major", "mot-6.1.1"],
    ],
  }),
  drive("chain", {
    applies: drivenBy("chain"),
    competence: "drive",
    quantity: "chain-slack",
    tools: ["slack-gauge"],
    seen: [
      ["dry", "minor", "common-practice", atTheKerb],
      ["slack", "minor", "common-practice"],
      ["tight", "minor", "common-practice"],
      ["fouls", "major", "mot-old-6.2"],
      ["link-clip-wrong", "major", "mot-old-6.2"],
      ["guard-loose", "major", "mot-old-6.2"],
      ["could-come-off", "major", "mot-old-6.2"],
    ],
  }),
  drive("belt", {
    applies: drivenBy("belt"),
    competence: "drive",
    seen: [
      ["squeals", "minor", "common-practice"],
      ["cracked", "minor", "common-practice"],
      ["slips", "major", "common-practice"],
      ["frayed", "major", "mot-old-6.2"],
    ],
  }),
  drive("shaft", {
    applies: drivenBy("shaft"),
    competence: "drive",
    seen: [
      ["weeps", "advisory", "common-practice"],
      ["boot-torn", "minor", "common-practice"],
      ["drips", "major", "common-practice"],
      ["knocks", "major", "common-practice"],
    ],
  }),
  drive("motor-cable", {
    applies: drivenBy("hub-motor"),
    competence: "electrics",
    seen: [
      ["chafed", "minor", "common-practice"],
      ["hangs-loose", "major", "common-practice"],
      // Pushed home until it locks, it is whole again.
      ["plug-not-home", "major", "common-practice", atTheKerb],
      ["copper-shows", "dangerous", "common-practice"],
    ],
  }),
  engine("fuel", {
    applies: hasEngine,
    competence: "engine",
    seen: [
      ["low", "minor", "common-practice", atTheKerb],
      ["tap-stiff", "minor", "common-practice"],
      ["cap-does-not-seal", "major", "common-practice"],
      ["smell", "major", "common-practice"],
      ["drips", "dangerous", "common-practice"],
    ],
  }),
  engine("charge", {
    applies: isElectric,
    competence: "electrics",
    seen: [
      ["low", "minor", "common-practice", measuredAtTheKerb],
      ["socket-dirty", "minor", "common-practice", atTheKerb],
      ["lead-damaged", "major", "common-practice"],
      // Pushed in until it locks, it is whole again; a lock that does not hold shows at once.
      ["battery-not-locked", "major", "common-practice", atTheKerb],
      ["battery-swollen", "dangerous", "common-practice"],
    ],
  }),
  engine("engine-oil", {
    applies: hasPower("four-stroke"),
    competence: "engine",
    seen: [
      ["near-low", "minor", "common-practice", atTheKerb],
      ["too-full", "minor", "common-practice"],
      // Nobody knows how long it ran with too little, so oil alone does not put it right.
      ["below-low", "major", "common-practice"],
      ["milky", "major", "common-practice"],
    ],
  }),
  engine("coolant", {
    applies: isLiquidCooled,
    competence: "engine",
    seen: [
      ["near-low", "minor", "common-practice", atTheKerb],
      ["below-low", "major", "common-practice"],
      ["oily", "major", "common-practice"],
      ["leaks", "major", "common-practice"],
    ],
  }),
  engine("two-stroke-oil", {
    applies: hasPower("two-stroke"),
    competence: "engine",
    seen: [
      ["low", "minor", "common-practice", atTheKerb],
      ["cap-loose", "minor", "common-practice", atTheKerb],
      ["empty", "major", "common-practice"],
      ["pipe-leaks", "major", "common-practice"],
    ],
  }),
  engine("engine-running", {
    applies: hasEngine,
    competence: "engine",
    howVariant: startingWay,
    seen: [
      ["hard-to-start", "minor", "common-practice"],
      ["stalls", "minor", "common-practice"],
      ["exhaust-blows", "minor", "common-practice"],
      ["new-noise", "major", "common-practice"],
      ["exhaust-bracket", "major", "common-practice"],
      ["oil-drips", "major", "common-practice"],
      ["will-not-stop", "major", "common-practice"],
      ["exhaust-coming-off", "dangerous", "common-practice"],
    ],
  }),
  engine("motor-running", {
    applies: isElectric,
    competence: "electrics",
    seen: [
      ["display-dim", "minor", "common-practice"],
      ["warning-lamp", "major", "common-practice"],
      ["cuts-out", "major", "common-practice"],
      ["new-noise", "major", "common-practice"],
      ["fluid-under-machine", "major", "common-practice"],
      ["moves-by-itself", "dangerous", "common-practice"],
    ],
  }),
  lights("lamps", {
    applies: everyMachine,
    competence: "electrics",
    howVariant: ({ power }) => (power === "electric" ? "electric" : "engine"),
    seen: [
      ["lens-cracked", "minor", "mot-4.1.1"],
      ["part-out", "minor", "mot-4.1.1"],
      ["one-beam-out", "major", "mot-4.1.1"],
      ["headlamp-out", "major", "mot-4.1.1"],
      ["lens-missing", "major", "mot-4.1.1"],
      ["headlamp-loose", "major", "mot-4.1.1"],
      ["tail-lamp-out", "major", "common-practice"],
      ["reflector-missing", "major", "mot-old-1.4"],
    ],
  }),
  lights("stop-lamp", {
    applies: everyMachine,
    competence: "electrics",
    seen: [
      ["dim", "minor", "common-practice"],
      ["one-brake-only", "major", "mot-old-stop-lamps"],
      ["stays-on", "major", "common-practice"],
      ["out", "major", "mot-old-stop-lamps"],
    ],
  }),
  lights("indicators", {
    applies: fittedWith("indicators"),
    competence: "electrics",
    seen: [
      ["lens-broken", "minor", "common-practice"],
      ["wrong-rhythm", "minor", "common-practice"],
      ["one-out", "major", "common-practice"],
      ["none-work", "major", "common-practice"],
    ],
  }),
  lights("horn", {
    applies: everyMachine,
    competence: "electrics",
    seen: [
      ["weak", "minor", "common-practice"],
      ["button-sticks", "minor", "common-practice", atTheKerb],
      ["silent", "major", "mot-old-stop-lamps"],
    ],
  }),
  rolling("stand", {
    applies: everyMachine,
    competence: "general",
    seen: [
      ["stiff", "minor", "common-practice"],
      ["bent", "minor", "common-practice"],
      ["bolt-loose", "major", "common-practice"],
      ["cut-out-dead", "major", "common-practice", { applies: mayHaveStandCutOut }],
      ["does-not-stay-up", "dangerous", "common-practice"],
    ],
  }),
  rolling("rolling-brake-test", {
    applies: everyMachine,
    competence: "brakes",
    seen: [
      ["squeals", "minor", "common-practice"],
      ["one-weak", "major", "common-practice"],
      ["grabs", "major", "common-practice"],
      ["pulls-to-side", "major", "common-practice"],
      ["stays-on", "major", "mot-1.1.2"],
      ["both-weak", "dangerous", "common-practice"],
    ],
  }),
  rider("rider-gear", {
    applies: everyMachine,
    competence: "general",
    seen: [
      ["visor-scratched", "minor", "common-practice"],
      ["not-visible", "minor", "common-practice"],
      ["loose-ends", "minor", "common-practice"],
      ["gloves-missing", "major", "common-practice"],
      ["clothing-torn", "major", "common-practice"],
      ["helmet-damaged", "major", "common-practice"],
    ],
  }),
];
