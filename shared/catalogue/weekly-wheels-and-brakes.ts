// Weekly items that a machine has twice: tyres, wheels, bearings and brakes, front and rear.
import type { End } from "./features.ts";
import { everyMachine, hasBrake, hasWheel, workedBy } from "./features.ts";
import { itemsAt } from "./make-item.ts";
import type { Finished, Item } from "./types.ts";

const stationOf = { front: "front-wheel", rear: "rear-wheel" } as const;
const brakeIds = (end: End) => [`${end}-brake-cable`, `${end}-brake-rod`, `${end}-brake-hydraulic`];

/** Free travel of a brake that is worked by cable or rod; a hydraulic one takes up its own wear. */
export const weeklyBrakeTravel = (end: End): Item =>
  itemsAt("weekly", end === "front" ? "saddle" : "rear-wheel")(`${end}-brake-free-travel`, {
    applies: hasBrake(end, "drum-cable", "drum-rod"),
    competence: "brakes",
    quantity: `${end}-brake-free-travel`,
    howVariant: workedBy(end),
    dailyIds: [`${end}-brake-cable`, `${end}-brake-rod`],
    tools: ["steel-rule", "spanners"],
    seen: [
      ["slow-return", "minor", "mot-1.1.2"],
      ["drags", "major", "mot-1.1.2"],
      ["no-adjustment-left", "major", "common-practice"],
      ["reaches-stop", "major", "mot-1.1.2"],
      ["cannot-apply", "dangerous", "mot-1.1.2"],
    ],
  });

/** Lever or pedal of a hydraulic brake, by feel: air in it makes it spongy, and one that leaks inside creeps or reaches the grip. */
export const weeklyBrakeFeel = (end: End): Item =>
  itemsAt("weekly", end === "front" ? "saddle" : "rear-wheel")(`${end}-brake-feel`, {
    applies: hasBrake(end, "disc-hydraulic"),
    competence: "brakes",
    howVariant: workedBy(end),
    dailyIds: [`${end}-brake-hydraulic`],
    tools: ["spanners"],
    seen: [
      ["slow-return", "minor", "mot-1.1.2"],
      ["drags", "major", "mot-1.1.2"],
      ["spongy", "major", "mot-old-3.1"],
      ["creeps", "major", "mot-old-3.1"],
      ["reaches-stop", "major", "mot-1.1.2"],
      ["cannot-apply", "dangerous", "mot-1.1.2"],
    ],
  });

/** What is renewed only with the wheel of that end taken out; the lining of a drum is, the pads of a disc are not. */
export const partsOfWheelOut = (end: End): readonly string[] =>
  ["tyre-tread-weekly", "spokes", "cast-wheel", "wheel-run-out", "wheel-bearings", "lining"].map((part) => `${end}-${part}`);

const whenRenewed = (itemIds: readonly string[]): readonly Finished[] => itemIds.map((itemId) => ({ itemId, after: ["replaced"] }));

/** Tyre, wheel and bearings of one end. */
export const weeklyWheel = (end: End): readonly Item[] => {
  const item = itemsAt("weekly", stationOf[end]);
  return [
    item(`${end}-tyre-pressure-weekly`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      quantity: `${end}-tyre-pressure`,
      dailyIds: [`${end}-tyre-pressure`],
      tools: ["pressure-gauge", "pump"],
      seen: [
        ["cap-missing", "minor", "common-practice"],
        ["loses-air", "major", "common-practice"],
        ["valve-damaged", "major", "mot-old-4.1"],
        ["flat", "dangerous", "cu-27"],
      ],
    }),
    item(`${end}-tyre-tread-weekly`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      quantity: `${end}-tread`,
      dailyIds: [`${end}-tyre-tread`],
      tools: ["tread-gauge"],
      seen: [
        ["uneven", "minor", "common-practice"],
        ["fine-cracks", "minor", "common-practice"],
        ["pattern-gone", "major", "cu-27"],
        ["nail", "major", "common-practice"],
        ["cut", "major", "cu-27"],
        ["recut", "major", "dvsa-part-3-tyres"],
        ["wrong-way-round", "major", "mot-old-4.1"],
        ["bulge", "dangerous", "cu-27", { onlyRepair: "new-part" }],
        ["cords-show", "dangerous", "cu-27", { onlyRepair: "new-part" }],
      ],
    }),
    item(`${end}-spokes`, {
      applies: hasWheel(end, "spoked"),
      competence: "wheels-and-tyres",
      dailyIds: [`${end}-wheel`],
      tools: ["spoke-key"],
      seen: [
        ["rusty", "advisory", "common-practice"],
        ["one-loose", "minor", "common-practice"],
        ["several-loose", "major", "mot-old-spokes"],
        ["broken", "major", "mot-old-spokes"],
        ["several-broken", "dangerous", "common-practice"],
      ],
    }),
    item(`${end}-cast-wheel`, {
      applies: hasWheel(end, "cast"),
      competence: "wheels-and-tyres",
      dailyIds: [`${end}-wheel`],
      tools: ["hand-lamp"],
      seen: [
        ["scratched", "advisory", "common-practice"],
        ["corroded-seat", "major", "common-practice"],
        ["crack", "dangerous", "common-practice"],
      ],
    }),
    item(`${end}-wheel-run-out`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      quantity: `${end}-wheel-run-out`,
      howVariant: ({ wheels }) => wheels[end],
      dailyIds: [`${end}-wheel`],
      tools: ["wheel-stand", "run-out-pointer"],
      seen: [
        ["small-dent", "minor", "common-practice"],
        ["hops", "major", "mot-5.2.2"],
        ["rubs", "major", "common-practice"],
        ["rim-split", "dangerous", "common-practice"],
      ],
    }),
    item(`${end}-wheel-bearings`, {
      applies: everyMachine,
      competence: "steering-and-bearings",
      dailyIds: ["wheel-play"],
      tools: ["wheel-stand"],
      seen: [
        ["seal-damaged", "minor", "common-practice"],
        ["play", "major", "mot-5.1.3"],
        ["rough", "major", "mot-5.1.3"],
        ["may-break-up", "dangerous", "mot-5.1.3"],
      ],
    }),
  ];
};

/** Lining or pads, what leads to them, and last what holds the wheel, of one end; rods of both ends are one item elsewhere. */
export const weeklyBrake = (end: End): readonly Item[] => {
  const item = itemsAt("weekly", stationOf[end]);
  return [
    item(`${end}-lining`, {
      applies: everyMachine,
      competence: "brakes",
      quantity: `${end}-lining`,
      howVariant: ({ brakes }) => (brakes[end].kind === "disc-hydraulic" ? "disc" : "drum"),
      dailyIds: brakeIds(end),
      tools: ["feeler-gauge", "hand-lamp"],
      seen: [
        ["glazed", "minor", "common-practice"],
        ["uneven", "minor", "common-practice"],
        ["at-wear-mark", "major", "mot-old-3.2"],
        ["oily", "major", "common-practice"],
        ["coming-away", "dangerous", "common-practice"],
      ],
    }),
    item(`${end}-brake-cable-ends`, {
      applies: hasBrake(end, "drum-cable"),
      competence: "brakes",
      dailyIds: [`${end}-brake-cable`],
      tools: ["oil-can", "hand-lamp"],
      seen: [
        ["dry", "minor", "common-practice"],
        ["sheath-split", "minor", "common-practice"],
        ["ferrule-pulled", "major", "common-practice"],
        ["adjuster-at-end", "major", "common-practice"],
        ["nipple-pulling-out", "dangerous", "common-practice", { onlyRepair: "new-part" }],
        ["frayed", "dangerous", "common-practice", { onlyRepair: "new-part" }],
      ],
    }),
    item(`${end}-hydraulics`, {
      applies: hasBrake(end, "disc-hydraulic"),
      competence: "brakes",
      dailyIds: [`${end}-brake-hydraulic`],
      tools: ["hand-lamp", "caliper-gauge"],
      seen: [
        ["fluid-dark", "minor", "common-practice"],
        ["fluid-near-low", "minor", "common-practice"],
        ["disc-scored", "minor", "common-practice"],
        ["fluid-below-low", "major", "common-practice"],
        ["hose-chafed", "major", "common-practice", { onlyRepair: "new-part" }],
        ["disc-below-stamp", "major", "common-practice", { onlyRepair: "new-part" }],
        ["hose-swells", "dangerous", "common-practice", { onlyRepair: "new-part" }],
        ["fluid-leak", "dangerous", "common-practice"],
      ],
    }),
    item(`${end}-spindle`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      finishes: whenRenewed(partsOfWheelOut(end)),
      dailyIds: [`${end}-wheel`],
      tools: ["torque-wrench"],
      seen: [
        ["rusty", "advisory", "common-practice"],
        ["lock-missing", "major", "mot-5.2.1"],
        ["one-of-several-loose", "major", "mot-5.2.1"],
        ["loose", "major", "mot-5.2.1"],
        ["more-than-one-loose", "dangerous", "mot-5.2.1"],
        ["insecure", "dangerous", "mot-5.2.1"],
      ],
    }),
    item(`${end}-caliper`, {
      applies: hasBrake(end, "disc-hydraulic"),
      competence: "brakes",
      finishes: whenRenewed([`${end}-lining`]),
      dailyIds: [`${end}-brake-hydraulic`],
      tools: ["torque-wrench", "hand-lamp"],
      seen: [
        ["boot-torn", "minor", "common-practice"],
        ["sticks", "major", "common-practice"],
        ["disc-warped", "major", "common-practice"],
        ["bolts-loose", "dangerous", "common-practice"],
        ["disc-cracked", "dangerous", "common-practice", { onlyRepair: "new-part" }],
      ],
    }),
  ];
};
