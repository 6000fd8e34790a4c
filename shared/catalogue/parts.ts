// Daily and weekly items that look at the same part are one: which weekly items a daily finding is about. Common practice, no source:
// where a daily item covers several parts (steering: head, bars, fork), what was seen says which of them is meant.
import { itemById } from "./sheet.ts";
import type { SheetKind } from "./types.ts";

type End = "front" | "rear";

/** For one daily item: all weekly items that look at the same part, and which of them each observation means. */
interface Parts {
  readonly all: readonly string[];
  readonly seen?: Readonly<Record<string, readonly string[]>>;
}

const one = (...all: readonly string[]): Parts => ({ all });

/** The daily items that a machine has at each end. */
const atEnd = (end: End): Readonly<Record<string, Parts>> => {
  const travel = [`${end}-brake-free-travel`];
  const [cable, rods] = [[`${end}-brake-cable-ends`], ["brake-rods"]];
  const [feel, hydraulics, lining] = [[`${end}-brake-feel`], [`${end}-hydraulics`], [`${end}-lining`]];
  const rim = [`${end}-wheel-run-out`, `${end}-cast-wheel`];
  return {
    [`${end}-tyre-pressure`]: one(`${end}-tyre-pressure-weekly`),
    [`${end}-tyre-tread`]: one(`${end}-tyre-tread-weekly`),
    [`${end}-wheel`]: {
      all: [`${end}-wheel-run-out`, `${end}-spokes`, `${end}-cast-wheel`, `${end}-spindle`, ...(end === "rear" ? ["rear-wheel-fast"] : [])],
      seen: {
        dent: rim,
        crack: rim,
        wobble: [`${end}-wheel-run-out`],
        "spoke-loose": [`${end}-spokes`],
        "several-spokes-loose": [`${end}-spokes`],
        "spoke-broken": [`${end}-spokes`],
        "several-spokes-broken": [`${end}-spokes`],
        "axle-nut-loose": end === "rear" ? ["rear-spindle", "rear-wheel-fast"] : ["front-spindle"],
      },
    },
    [`${end}-brake-cable`]: {
      all: [...travel, ...cable],
      seen: { frayed: cable, "slow-return": travel, "long-travel": travel, drags: travel, "reaches-stop": travel },
    },
    [`${end}-brake-rod`]: {
      all: [...travel, ...rods],
      seen: { bent: rods, "pin-missing": rods, "long-travel": travel, drags: travel, "reaches-stop": travel },
    },
    [`${end}-brake-hydraulic`]: {
      all: [...feel, ...hydraulics, ...lining, `${end}-caliper`],
      seen: {
        "pads-worn": lining,
        "fluid-near-low": hydraulics,
        "fluid-below-low": hydraulics,
        "fluid-leak": hydraulics,
        spongy: feel,
        creeps: feel,
        "reaches-stop": feel,
        "cannot-apply": feel,
      },
    },
  };
};

const head = ["steering-head"];
const bars = ["handlebars"];

const partsOfDaily: Readonly<Record<string, Parts>> = {
  ...atEnd("front"),
  ...atEnd("rear"),
  steering: {
    all: [...head, ...bars, "front-fork"],
    seen: {
      notchy: head,
      knock: head,
      "fork-oil": ["front-fork"],
      "grip-worn": bars,
      "grip-loose": bars,
      "cable-taut": bars,
      "bars-loose": bars,
    },
  },
  throttle: one("throttle-free-play"),
  clutch: one("clutch-free-travel"),
  "wheel-play": {
    all: ["front-wheel-bearings", "rear-wheel-bearings"],
    seen: { "front-knock": ["front-wheel-bearings"], "rear-knock": ["rear-wheel-bearings"] },
  },
  bodywork: {
    all: ["bodywork-weekly", "load-mounting", "seat-and-footrests", "frame"],
    seen: {
      "loose-but-holds": ["bodywork-weekly"],
      "part-loose": ["bodywork-weekly"],
      "touches-wheel": ["bodywork-weekly"],
      "seat-or-footrest-loose": ["seat-and-footrests"],
      "frame-cracked": ["frame"],
      "mirror-cracked": ["bodywork-weekly"],
      "mirror-broken": ["bodywork-weekly"],
      "plate-missing": ["bodywork-weekly"],
      "lid-does-not-lock": ["load-mounting"],
      "carrier-loose": ["load-mounting"],
    },
  },
  "rear-damper": one("rear-suspension"),
  chain: {
    all: ["chain-slack", "chain-wear"],
    seen: { "link-clip-wrong": ["chain-wear"], "guard-loose": ["sprockets"], ...slackSeen() },
  },
  belt: one("belt-weekly"),
  shaft: one("shaft-weekly"),
  "motor-cable": one("hub-motor"),
  fuel: one("fuel-system"),
  charge: {
    all: ["battery-state", "power-cables"],
    seen: {
      low: ["battery-state"],
      "battery-not-locked": ["battery-state"],
      "battery-swollen": ["battery-state"],
      "socket-dirty": ["power-cables"],
      "lead-damaged": ["power-cables"],
    },
  },
  "engine-oil": one("engine-oil-level"),
  coolant: one("coolant-level"),
  "two-stroke-oil": one("two-stroke-oil-level"),
  "engine-running": {
    all: ["starting", "exhaust"],
    seen: {
      "exhaust-blows": ["exhaust"],
      "exhaust-bracket": ["exhaust"],
      "exhaust-coming-off": ["exhaust"],
      // As it was called on the sheet of 2026-11, where blowing and loose were one.
      "exhaust-loose": ["exhaust"],
      "oil-drips": ["engine-oil-level", "gearcase-oil"],
      "hard-to-start": ["starting"],
      stalls: ["starting"],
      "will-not-stop": ["starting"],
    },
  },
  "motor-running": { all: ["power-cables", "battery-state"], seen: { "warning-lamp": ["battery-state"] } },
  lamps: {
    all: ["headlamp", "rear-lamps"],
    seen: {
      "one-beam-out": ["headlamp"],
      "headlamp-out": ["headlamp"],
      "lens-missing": ["headlamp"],
      "headlamp-loose": ["headlamp"],
      "tail-lamp-out": ["rear-lamps"],
      "reflector-missing": ["rear-lamps"],
    },
  },
  "stop-lamp": one("rear-lamps"),
  indicators: one("indicators-weekly"),
  horn: one("horn-and-switches"),
  stand: one("stand-weekly"),
  "rolling-brake-test": one("brake-efficiency"),
};

/** A map and not an object: a report may name any id, also one like `constructor` that every object has. */
const partsOfItem: ReadonlyMap<string, Parts> = new Map(Object.entries(partsOfDaily));

function slackSeen(): Record<string, readonly string[]> {
  return Object.fromEntries(["dry", "slack", "tight", "fouls", "could-come-off"].map((seen) => [seen, ["chain-slack"]]));
}

/** Something found at an item, as far as it says which part is meant. */
export interface Found {
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
}

/**
 * The weekly items that look at the part of a finding. For a weekly item that is the item itself; for a daily one those that the
 * observations mean, or all that it covers where only words were given. Empty where the weekly sheet does not look at the part.
 */
export function partsOf({ itemId, observationIds }: Found): readonly string[] {
  if (itemId === null) return [];
  const parts = partsOfItem.get(itemId);
  if (parts === undefined) return kindOf(itemId) === "weekly" ? [itemId] : [];
  const { all, seen = {} } = parts;
  if (observationIds.length === 0) return all;
  const partsSeen = (what: string): readonly string[] => (Object.hasOwn(seen, what) ? seen[what] : undefined) ?? all;
  return [...new Set(observationIds.flatMap((id) => partsSeen(id.slice(itemId.length + 1))))];
}

/** Whether one was found at a daily item and the other at a weekly one that looks at the same part. */
export function samePart(found: Found, other: Found): boolean {
  if (found.itemId === null || other.itemId === null || kindOf(found.itemId) === kindOf(other.itemId)) return false;
  const parts = partsOf(other);
  return partsOf(found).some((part) => parts.includes(part));
}

/**
 * A daily item without a part on the weekly sheet (the rider's) is looked up on the newest sheet; one that is not there does not matter
 * here.
 */
const kindOf = (itemId: string): SheetKind => (partsOfItem.has(itemId) ? "daily" : (itemById(itemId)?.kind ?? "weekly"));
