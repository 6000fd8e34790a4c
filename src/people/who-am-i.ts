import type { WhoAmI } from "../../shared/contracts/people.ts";
import type { Actor } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { readSecretEvents } from "./secret-store.ts";
import { readDepots, readMember } from "./store.ts";

const mostEvents = 10;

/** The person who calls, with their depots by name, and what happened to their secret: so they notice if somebody else has changed it. */
export async function whoAmI(context: PeopleContext, actor: Actor): Promise<WhoAmI> {
  const person = await readMember(context.db.prisma, actor.staffId);
  if (!person) throw new Error("a person is never removed");
  const [depots, secretEvents] = await Promise.all([readDepots(context.db, person), readSecretEvents(context.db, person.id, mostEvents)]);
  const { role, roles, competences, mustChangeSecret, codeExpiresAt } = person;
  return {
    person,
    role,
    roles,
    depots,
    competences,
    mustChangeSecret,
    codeExpiresAt,
    secretChangedAt: secretEvents[0]?.at ?? null,
    secretEvents,
  };
}
