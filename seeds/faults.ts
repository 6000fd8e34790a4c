// What goes wrong on its own, how often, and what the workshop does about it. Observations are the catalogue's own.
import { itemsFor } from "../shared/catalogue/sheet.ts";
import type { Features } from "../shared/contracts/machine-model.ts";

export interface Fault {
  /** `<item>.<what is seen>` of the daily sheet */
  readonly observation: string;
  /** relative frequency */
  readonly weight: number;
  readonly work: string;
  readonly minutes: number;
  readonly part?: string;
  readonly note?: string;
}

const fault = (observation: string, weight: number, minutes: number, work: string, part?: string, note?: string): Fault => ({
  observation,
  weight,
  work,
  minutes,
  ...(part ? { part } : {}),
  ...(note ? { note } : {}),
});

const dailyFaults: readonly Fault[] = [
  fault("steering.grip-worn", 2, 10, "Renewed the left grip", "Grip, left"),
  fault("throttle.long-play", 3, 15, "Set the throttle play at the carburettor end and oiled the cable"),
  fault("front-brake-cable.long-travel", 3, 15, "Took up the front brake at the lever and at the drum"),
  fault("front-brake-hydraulic.spongy", 2, 45, "Bled the front brake and topped up the fluid", "Brake fluid, 0.25 l"),
  fault("front-tyre-pressure.cap-missing", 3, 5, "New valve cap; pressure checked", "Valve cap"),
  fault("rear-tyre-pressure.a-little-soft", 4, 10, "Pumped up; valve tested with soapy water, tight"),
  fault("rear-tyre-tread.nail", 3, 50, "Nail drawn, new inner tube", "Inner tube, rear", "Roofing nail near the edge"),
  fault("front-tyre-tread.nail", 1, 45, "Nail drawn, new inner tube", "Inner tube, front"),
  fault("rear-wheel.spoke-loose", 2, 30, "Spokes tensioned and wheel trued"),
  fault("rear-brake-rod.long-travel", 3, 10, "Took up the rear brake at the rod nut"),
  fault("bodywork.loose-but-holds", 2, 10, "Leg shield bolted back on", "Bolt M6 with washer"),
  fault("bodywork.lid-does-not-lock", 2, 20, "Load box catch bent back and oiled"),
  fault("bodywork.carrier-loose", 1, 25, "Carrier bolts tightened, thread lock used"),
  fault("chain.dry", 6, 10, "Chain cleaned and oiled"),
  fault("chain.slack", 4, 20, "Chain set, both adjusters by the same number of flats"),
  fault("motor-cable.chafed", 2, 25, "Motor cable sleeved and tied clear of the axle", "Cable sleeve, 0.5 m"),
  fault("fuel.tap-stiff", 1, 20, "Fuel tap taken apart and cleaned"),
  fault("charge.socket-dirty", 3, 10, "Charging socket cleaned"),
  fault("engine-oil.near-low", 5, 10, "Engine oil topped up", "Engine oil, 0.1 l"),
  fault("two-stroke-oil.low", 4, 5, "Oil tank filled", "Two-stroke oil, 0.5 l"),
  fault("engine-running.hard-to-start", 4, 30, "Plug cleaned and gap set, air filter blown out"),
  fault("engine-running.new-noise", 1, 60, "Exhaust joint had come loose; new gasket", "Exhaust gasket", "A clatter when pulling away"),
  fault("motor-running.display-dim", 1, 15, "Display plug cleaned"),
  fault("lamps.tail-lamp-out", 4, 15, "New tail lamp bulb", "Bulb, tail and stop"),
  fault("lamps.headlamp-out", 3, 20, "New headlamp bulb", "Bulb, headlamp"),
  fault("lamps.lens-cracked", 1, 20, "New rear lens", "Lens, rear"),
  fault("stop-lamp.one-brake-only", 3, 20, "Stop lamp switch set at the pedal"),
  fault("stop-lamp.out", 3, 15, "New stop lamp bulb", "Bulb, tail and stop"),
  fault("indicators.one-out", 4, 15, "New indicator bulb, contacts cleaned", "Bulb, indicator"),
  fault("horn.weak", 3, 15, "Horn contacts cleaned and set"),
  fault("stand.stiff", 2, 10, "Stand pivot cleaned and greased"),
  fault("stand.bolt-loose", 1, 15, "Stand bolt tightened, new lock washer", "Lock washer"),
  fault("rolling-brake-test.squeals", 3, 35, "Linings taken out, dust removed, edges eased"),
];

const repairs = new Map(dailyFaults.map((known) => [known.observation, known]));

/** The faults that can be seen on a machine with these features. */
export function faultsOf(features: Features): readonly Fault[] {
  const seen = new Set(itemsFor(features, "daily").flatMap(({ observations }) => observations.map(({ id }) => id)));
  return dailyFaults.filter(({ observation }) => seen.has(observation));
}

/** Work for what the story itself brings, and for what an inspection finds. */
const otherWork: readonly (readonly [itemId: string, work: string, minutes: number, part?: string])[] = [
  ["front-brake-cable", "New front brake cable, greased and set", 40, "Front brake cable"],
  ["rear-brake-cable", "New rear brake cable, greased and set", 45, "Rear brake cable"],
  ["front-tyre-tread-weekly", "New front tyre and tube", 55, "Tyre, front"],
  ["rear-tyre-tread-weekly", "New rear tyre and tube", 60, "Tyre, rear"],
  // Found by the reading of the day, not by eye.
  ["front-tyre-pressure", "Pumped up; valve tested with soapy water, tight", 10],
  ["rear-tyre-pressure", "Pumped up; valve tested with soapy water, tight", 10],
  ["chain", "Chain set, both adjusters by the same number of flats", 20],
  ["front-tyre-pressure-weekly", "New valve, pressure set", 30, "Valve"],
  ["rear-tyre-pressure-weekly", "New valve, pressure set", 35, "Valve"],
  ["front-lining", "New front linings, run in", 50, "Linings, front"],
  ["rear-lining", "New rear linings, run in", 55, "Linings, rear"],
  ["chain-wear", "New chain, both sprockets looked at", 60, "Chain"],
  ["chain-slack", "Chain set, both adjusters by the same number of flats", 20],
  ["rear-wheel-bearings", "New bearings and seals in the rear wheel", 80, "Wheel bearings, rear"],
  ["wheel-play", "New bearings and seals in the rear wheel", 80, "Wheel bearings, rear"],
  ["bodywork", "New mirror", 15, "Mirror"],
  ["levers-and-pivots", "Pivots cleaned and oiled", 15],
  ["sprockets", "New rear sprocket", 70, "Sprocket, rear"],
  ["air-filter", "Air filter cleaned", 15],
];

/** What is done about a defect, depending on whether its part was `renewed`; something general if the list has nothing for it. */
export function workFor(
  itemId: string | null,
  observationIds: readonly string[],
  renewed = false,
): { work: string; minutes: number; part?: string } {
  for (const id of observationIds) {
    const known = repairs.get(id);
    if (known) return known;
  }
  const end = itemId === "front-tyre-tread" ? "front" : itemId === "rear-tyre-tread" ? "rear" : null;
  if (end !== null && renewed) return { work: `New ${end} tyre and tube`, minutes: 30, part: `Tyre, ${end}` };
  if (end !== null) return { work: "Measured in three places: above the limit still, and watched", minutes: 30 };
  const other = otherWork.find(([known]) => known === itemId);
  if (!other) return { work: "Taken apart, cleaned, put right and tried out", minutes: 30, part: "Small parts" };
  const [, work, minutes, part] = other;
  return { work, minutes, ...(part ? { part } : {}) };
}
