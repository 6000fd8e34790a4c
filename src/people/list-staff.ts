import type { StaffMember, StaffQuery } from "../../shared/contracts/people.ts";
import { cursorFrom, pageFrom, type View } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { readStaffPage } from "./store.ts";

/** People by staff number: those of the depots in view, and those who belong to all depots. */
export async function listStaff(
  context: PeopleContext,
  { depotIds }: View,
  query: StaffQuery,
): Promise<{ items: StaffMember[]; nextCursor: string | null }> {
  const after = cursorFrom(query.cursor)?.[0];
  const rows = await readStaffPage(context.db, query, depotIds, after);
  return pageFrom(
    rows,
    query.limit,
    (row) => [row.staffNumber],
    (row) => row,
  );
}
