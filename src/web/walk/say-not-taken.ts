import { sayRefusal } from "../frame/parts.tsx";
import { say } from "../frame/words.ts";

/** What is amiss in a body is nothing that a rider can put right. */
const ofTheBody: readonly string[] = ["not-valid", "check-not-whole", "id-reused"];

/** Why the service did not take a piece, for the one who made it. */
export const sayNotTaken = (code: string, detail: string): string =>
  ofTheBody.includes(code) ? say("walk.refused.not-valid") : sayRefusal(code, detail);
