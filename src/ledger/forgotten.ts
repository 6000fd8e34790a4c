import { ledgerErrors } from "./errors.ts";

/** The refusal of what takes the words of a record that were forgotten. */
export const recordForgotten = () =>
  ledgerErrors.problem(
    "record-forgotten",
    "Who recorded it, when, and of what kind it is are kept; what it said was forgotten when its time was over. Its hash still verifies.",
  );
