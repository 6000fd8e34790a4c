// Weekly items of the lights, the horn and the wiring.
import { everyMachine, fittedWith } from "./features.ts";
import { itemsAt } from "./make-item.ts";
import type { Item } from "./types.ts";

const lights = itemsAt("weekly", "lights");

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
