import type { CountedFigures } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { readHeldBack } from "./guess-store.ts";

/** Figures for whoever runs the service: somebody who guesses shows here before anybody calls to say that their number is locked. Counts only, never whose. */
export const heldBack = (context: Pick<PeopleContext, "db" | "clock">): CountedFigures => ({
  name: "ferrule_sign_in_held_back",
  help: "Staff numbers that wrong secrets have closed to somebody (of: numbers), to every unknown device (everywhere), and the known devices and networks from which some number is closed",
  label: "of",
  counted: async () => ({ ...(await readHeldBack(context.db, context.clock.now())) }),
});
