// What the next rider of a machine is told beside its state (49 CFR 396.13): that somebody else has checked it today, what was put right
// since it was last cleared, and who signed for that.
import type { FieldKit } from "../../shared/contracts/fleet.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { AppContext } from "../acts/index.ts";
import { type MachineRow, namesBehind, readRecentNews } from "./store.ts";

type RecentNews = FieldKit["items"][number]["lately"];

export const noNews: RecentNews = { checkedToday: null, putRight: [], groundedBy: null };

// A clearance holds for a day at most, so what ended one is news for a day.
const newsMs = 24 * 3_600_000;

/** What the person `staffId` is told of each machine. */
export async function recentNewsOf(
  context: AppContext,
  staffId: string,
  machines: readonly MachineRow[],
): Promise<ReadonlyMap<string, RecentNews>> {
  const now = context.clock.now();
  const rows = await readRecentNews(
    context.db,
    staffId,
    machines.map(({ id, timeZone, state: { groundedAt } }) => ({
      machineId: id,
      day: localDay(now, timeZone),
      groundedAt: groundedAt !== null && now.getTime() - Date.parse(groundedAt) < newsMs ? groundedAt : null,
    })),
  );
  const row = new Map(rows.map((one) => [one.machineId, one]));
  const putRight = new Map(
    machines.map(({ id, state }) => {
      const since = row.get(id)?.clearedAt ?? null;
      return [id, state.closed.filter(({ closedAt }) => since === null || new Date(closedAt) > new Date(since))];
    }),
  );
  const names = await namesBehind(
    context.db,
    [...putRight.values()].flat().map(({ recordId }) => recordId),
  );
  return new Map(
    machines.map(({ id }): [string, RecentNews] => {
      const about = row.get(id);
      const checked = about?.checkedToday ?? null;
      return [
        id,
        {
          checkedToday: checked && { at: new Date(checked.at).toISOString(), decision: checked.decision },
          putRight: (putRight.get(id) ?? []).map(({ itemId, how, closedAt, recordId, campaign }) => ({
            ...{ itemId, how, at: closedAt },
            ...(campaign === undefined ? {} : { campaign }),
            by: names.get(recordId) ?? "",
          })),
          groundedBy: about?.groundedBy == null ? null : about.groundedBy === staffId ? "you" : "somebody-else",
        },
      ];
    }),
  );
}
