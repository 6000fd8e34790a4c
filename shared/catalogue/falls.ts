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
