// Which licence a machine takes, by the classes of Directive 2006/126/EC Art. 4 (AM, A1, A2, A), as far as its model tells.

/** Each class covers those before it. */
const classes = ["AM", "A1", "A2", "A"] as const;
export type LicenceClass = (typeof classes)[number];

/**
 * The class that a machine takes by its engine (cm³): up to 50 AM, up to 125 A1, above that A2. A model gives no power: an electric
 * machine (null) counts as AM, of which the limit is 4 kW and 45 km/h, and above 125 cm³ no more than the 35 kW of A2 are assumed.
 * Limits of AM and A1: SI 2012/977 sch. 3.
 */
export function classNeeded(engineCc: number | null): LicenceClass {
  if (engineCc === null || engineCc <= 50) return "AM";
  return engineCc <= 125 ? "A1" : "A2";
}

/** The class that a text on a licence stands for; a car's (B) covers AM (Directive 2006/126/EC, from memory). Null for what cannot be compared. */
export function readLicenceClass(text: string): LicenceClass | null {
  const written = text.trim().toUpperCase();
  return written === "B" ? "AM" : (classes.find((one) => one === written) ?? null);
}

/** Whether a licence of class `held` covers a machine that takes `needed`. */
export const covers = (held: LicenceClass, needed: LicenceClass): boolean => classes.indexOf(held) >= classes.indexOf(needed);
