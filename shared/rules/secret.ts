// What somebody may choose as their own secret; the page says it before anything is sent.

export const leastSecretLength = 8;
export const mostSecretLength = 200;

/**
 * Why a secret is refused: too short, the same as the one before, which somebody else may know, or the staff number, which everybody knows.
 */
export type SecretFault = "too-short" | "same" | "staff-number";

// Phones write accents in different ways, and put a capital first on their own.
const plain = (text: string): string => text.normalize("NFKC").trim().toLowerCase();

/** What is wrong with a secret that somebody chooses for themselves; null where nothing is. */
export function faultOfSecret(chosen: {
  readonly secret: string;
  readonly current: string;
  readonly staffNumber: string;
}): SecretFault | null {
  if (chosen.secret.trim().length < leastSecretLength) return "too-short";
  if (plain(chosen.secret) === plain(chosen.current)) return "same";
  return plain(chosen.secret) === plain(chosen.staffNumber) ? "staff-number" : null;
}

/** For so many hours after somebody else set a person's secret, that is shown beside what the person signs. */
export const besideHours = 24;

/** Records by which somebody answers for a machine: they put their name to it, and others rely on it when they ride. */
export const signedKinds: readonly string[] = [
  "weekly-inspection",
  "defect-repaired",
  "defect-signed-off",
  "defect-not-found",
  "defect-regraded",
  "defect-deferred",
  "defect-waiting",
];

/** Whether a record of this kind is somebody's signature. */
export const isSigned = (kind: string): boolean => signedKinds.includes(kind);
