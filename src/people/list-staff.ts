import type { StaffMember, StaffQuery } from "../../shared/contracts/people.ts";
import { type Actor, cursorFrom, depotsInView, pageFrom } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { readStaffPage } from "./store.ts";

/** People by staff number: those of the depots that the manager has, and those who belong to all. Throws `other-depot`. */
export async function listStaff(
  context: PeopleContext,
  actor: Actor,
  query: StaffQuery,
): Promise<{ items: StaffMember[]; nextCursor: string | null }> {
  const after = cursorFrom(query.cursor)?.[0];
  const rows = await readStaffPage(context.db, query, depotsInView(actor, query.depotId), after);
  return pageFrom(
    rows,
    query.limit,
    (row) => [row.staffNumber],
    (row) => row,
  );
}
