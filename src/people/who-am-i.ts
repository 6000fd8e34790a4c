import type { WhoAmI } from "../../shared/contracts/people.ts";
import type { Actor, House } from "../platform/index.ts";
import { readDepots, readMember } from "./store.ts";

/** The person who calls, with their depots by name. */
export async function whoAmI(house: House, actor: Actor): Promise<WhoAmI> {
  const person = await readMember(house.db.prisma, actor.staffId);
  if (!person) throw new Error("a person is never removed");
  return { person, role: person.role, depots: await readDepots(house.db, person), competences: person.competences };
}
