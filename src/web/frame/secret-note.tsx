// Beside what somebody signed within a day after another person had set their secret: who that was, and when.

import type { SecretBeside } from "../../../shared/contracts/people.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import { say, sayMoment } from "./words.ts";

export function SecretNote({ of: { secretResetAt, secretResetBy, secretChosenAt } }: { of: SecretBeside }) {
  if (secretResetAt === null) return null;
  const who = secretResetBy === null ? say("page.own-secret.founding") : `${isolated(secretResetBy.name)} (${secretResetBy.staffNumber})`;
  const when = sayMoment(secretResetAt);
  return (
    <p class="notice">
      {secretChosenAt === null
        ? say("page.secret-set", { who, when })
        : say("page.secret-set.chosen", { who, when, chosen: sayMoment(secretChosenAt) })}
    </p>
  );
}
