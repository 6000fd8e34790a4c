import { ledgerErrors } from "./errors.ts";

/** The refusal of a call that needs the words of a record when they have been forgotten. */
export const recordForgotten = () =>
  ledgerErrors.problem(
    "record-forgotten",
    "Who recorded it, when, and of what kind it is are kept; what it said was forgotten when its time was over. Its hash still verifies.",
  );
