// What somebody may choose as their own secret; the page says it before anything is sent.

export const leastSecretLength = 8;
export const mostSecretLength = 200;

/** Why a secret is none: it is the one it takes the place of, which somebody else may know, or it is the staff number, which everybody does. */
export type SecretFault = "too-short" | "same" | "staff-number";

// Phones compose accents in different ways, and begin with a capital by themselves.
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

/** What somebody signs within so many hours after another person set their secret is shown with it. */
export const besideHours = 24;

// What answers for a machine: somebody put their name to it, and others ride by it.
export const signedKinds: readonly string[] = [
  "weekly-inspection",
  "defect-repaired",
  "defect-signed-off",
  "defect-not-found",
  "defect-regraded",
  "defect-deferred",
];

/** Whether a record of this kind is somebody's signature. */
export const isSigned = (kind: string): boolean => signedKinds.includes(kind);
