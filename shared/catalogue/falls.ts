// What a fall or a collision is told in: the words that the phone offers. Nobody is held to them; whoever knows better uses words of their own.

/** What the machine struck, or how it went down. */
export const waysOfFalling = [
  "fell-over-standing",
  "slid",
  "struck-fixed",
  "struck-loose",
  "struck-vehicle",
  "struck-by-vehicle",
  "something-else",
] as const;

/** What looks bent or broken afterwards, from the front to the back. */
export const partsBent = [
  ...(["handlebar", "levers", "mirrors", "lights", "fork", "front-wheel", "frame", "tank"] as const),
  ...(["footrest", "pedal", "exhaust", "rear-wheel", "load-box", "something-else"] as const),
] as const;

/**
 * The items of the weekly sheet that are looked at first after a fall: steering, fork, frame, wheels, controls, in this order. They are where a
 * fall bends a machine so that it can no longer be ridden safely (common practice).
 */
const firstAfterFall: readonly string[] = [
  ...["steering-head", "handlebars", "front-fork", "frame", "rear-suspension"],
  ...["front-spokes", "front-cast-wheel", "front-wheel-run-out", "front-wheel-bearings", "front-spindle"],
  ...["rear-spokes", "rear-cast-wheel", "rear-wheel-run-out", "rear-wheel-bearings", "rear-spindle"],
  ...["levers-and-pivots", "throttle-free-play", "clutch-free-travel", "front-brake-free-travel", "rear-brake-free-travel"],
  ...["front-brake-feel", "rear-brake-feel"],
  "seat-and-footrests",
];

/** The items of an inspection in the order in which they are gone through after a fall: those first, then the rest along the walk. */
export function inOrderAfterFall<One extends { readonly id: string }>(items: readonly One[]): { first: One[]; rest: One[] } {
  const first = firstAfterFall.flatMap((id) => items.filter((item) => item.id === id));
  return { first, rest: items.filter((item) => !first.includes(item)) };
}
