// Pure pieces of readiness that only the server needs; the verdicts themselves stand in shared/rules/.

/** Whether two JSON values say the same, whatever the order of their fields. */
export function sameSubmission(one: unknown, other: unknown): boolean {
  return sorted(one) === sorted(other);
}

const sorted = (value: unknown): string =>
  JSON.stringify(value, (_key, part: unknown) =>
    part !== null && typeof part === "object" && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
