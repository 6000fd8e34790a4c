// Pure pieces of the acts; the verdicts themselves stand in shared/rules/.
import { sortedJson } from "../platform/index.ts";

/** Whether two JSON values say the same, whatever the order of their fields. */
export const sameSubmission = (one: unknown, other: unknown): boolean => sortedJson(one) === sortedJson(other);
