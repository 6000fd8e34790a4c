// Daily items that a machine has twice: tyres, wheels and brakes, front and rear.
import type { End } from "./features.ts";
import { everyMachine, hasBrake, hasWheel, workedBy } from "./features.ts";
import { atTheKerb, itemsAt, measuredAtTheKerb } from "./make-item.ts";
import type { Item } from "./types.ts";

const stationOf = { front: "front-wheel", rear: "rear-wheel" } as const;

/** Tyre and wheel of one end. */
export const dailyWheel = (end: End): readonly Item[] => {
  const item = itemsAt("daily", stationOf[end]);
  return [
    item(`${end}-tyre-pressure`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      quantity: `${end}-tyre-pressure`,
      tools: ["pressure-gauge"],
      seen: [
        ["cap-missing", "minor", "common-practice", atTheKerb],
        ["a-little-soft", "minor", "common-practice", measuredAtTheKerb],
        // Clearly soft is a quarter under, where a leak is likely: air does not put that right.
        ["soft", "major", "cu-27"],
        ["valve-damaged", "major", "mot-old-4.1"],
        ["flat", "dangerous", "cu-27"],
      ],
    }),
    item(`${end}-tyre-tread`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      quantity: `${end}-tread`,
      seen: [
        ["near-limit", "minor", "dvsa-part-3-tyres"],
        ["pattern-gone", "major", "dvsa-part-3-tyres"],
        ["nail", "major", "common-practice"],
        ["cut", "major", "cu-27"],
        ["bulge", "dangerous", "cu-27", { onlyRepair: "new-part" }],
        ["cords-show", "dangerous", "cu-27", { onlyRepair: "new-part" }],
      ],
    }),
    item(`${end}-wheel`, {
      applies: everyMachine,
      competence: "wheels-and-tyres",
      howVariant: ({ wheels }) => wheels[end],
      seen: [
        ["dent", "minor", "common-practice"],
        ["spoke-loose", "minor", "common-practice", { applies: hasWheel(end, "spoked") }],
        ["several-spokes-loose", "major", "mot-old-spokes", { applies: hasWheel(end, "spoked") }],
        ["spoke-broken", "major", "mot-old-spokes", { applies: hasWheel(end, "spoked") }],
        ["wobble", "major", "mot-5.2.2"],
        ["axle-nut-loose", "major", "mot-5.2.1"],
        ["several-spokes-broken", "dangerous", "common-practice", { applies: hasWheel(end, "spoked") }],
        ["crack", "dangerous", "common-practice"],
      ],
    }),
  ];
};

/** The brake of one end: lever or pedal, and what leads from it to the wheel. One of the three kinds applies. */
export const dailyBrake = (end: End): readonly Item[] => {
  const item = itemsAt("daily", end === "front" ? "saddle" : "rear-wheel");
  return [
    item(`${end}-brake-cable`, {
      applies: hasBrake(end, "drum-cable"),
      competence: "brakes",
      quantity: `${end}-brake-free-travel`,
      howVariant: workedBy(end),
      seen: [
        ["slow-return", "minor", "mot-1.1.2"],
        ["long-travel", "minor", "common-practice"],
        ["drags", "major", "mot-1.1.2"],
        ["reaches-stop", "major", "mot-1.1.2"],
        ["frayed", "dangerous", "common-practice", { onlyRepair: "new-part" }],
        ["cannot-apply", "dangerous", "mot-1.1.2"],
      ],
    }),
    item(`${end}-brake-rod`, {
      applies: hasBrake(end, "drum-rod"),
      competence: "brakes",
      quantity: `${end}-brake-free-travel`,
      howVariant: workedBy(end),
      seen: [
        ["long-travel", "minor", "common-practice"],
        ["drags", "major", "mot-1.1.2"],
        ["reaches-stop", "major", "mot-1.1.2"],
        ["bent", "major", "common-practice"],
        ["pin-missing", "dangerous", "common-practice"],
        ["cannot-apply", "dangerous", "mot-1.1.2"],
      ],
    }),
    item(`${end}-brake-hydraulic`, {
      applies: hasBrake(end, "disc-hydraulic"),
      competence: "brakes",
      howVariant: workedBy(end),
      seen: [
        ["fluid-near-low", "minor", "common-practice"],
        ["fluid-below-low", "major", "common-practice"],
        ["spongy", "major", "mot-old-3.1"],
        ["pads-worn", "major", "mot-old-3.2"],
        ["creeps", "major", "mot-old-3.1"],
        ["reaches-stop", "major", "mot-1.1.2"],
        ["fluid-leak", "dangerous", "common-practice"],
        ["cannot-apply", "dangerous", "mot-1.1.2"],
      ],
    }),
  ];
};
