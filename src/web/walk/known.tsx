// A defect that is known already, at its item: since when, what was seen, and whether it is still the same.
import type { Item } from "../../../shared/catalogue/types.ts";
import { localDay } from "../../../shared/rules/calendar.ts";
import type { MachineState, OpenDefect } from "../../../shared/rules/machine-state.ts";
import { type DepotRules, obstacles } from "../../../shared/rules/standing.ts";
import { allThatWasSeen } from "../../../shared/words/say-reason.ts";
import type { BundleMachine } from "../field/offline-bundle.ts";
import { sayWhy } from "../frame/say-why.ts";
import { language, say, sayDay } from "../frame/words.ts";
import { type Found, foundNothing } from "./walk.ts";

/** What was seen, in words; empty if it was only reported as free text, which only the workshop sees. */
export const seenOf = ({ observationIds }: OpenDefect): string => allThatWasSeen(observationIds, language()).join("; ");

/** The day on which it was seen first. */
export const dayOf = ({ seenAt }: OpenDefect, timeZone: string): string => sayDay(localDay(new Date(seenAt), timeZone));

export const knownAt = (state: MachineState, itemId: string): OpenDefect | null =>
  state.defects.find((defect) => defect.itemId === itemId) ?? null;

export const KnownLine = ({ known, timeZone }: { known: OpenDefect | null; timeZone: string }) =>
  known === null ? null : <span class="small item-known">{say("walk.known", { day: dayOf(known, timeZone), what: seenOf(known) })}</span>;

interface KnownProps {
  readonly known: OpenDefect | null;
  readonly timeZone: string;
  readonly item: Item;
  readonly onFound: (change: (found: Found) => Found | null) => void;
  readonly onClose: () => void;
}

/** 'Still the same' records a sighting with the observations from before, so the rider need not pick them from memory. */
export function KnownHere({ known, timeZone, item, onFound, onClose }: KnownProps) {
  if (known === null) return null;
  const same = known.observationIds.filter((id) => item.observations.some((one) => one.id === id));
  return (
    <div class="notice">
      <p>{say("walk.known", { day: dayOf(known, timeZone), what: seenOf(known) })}</p>
      <p>{say("walk.known.ask")}</p>
      {same.length > 0 && (
        <button
          type="button"
          onClick={() => {
            onFound((found) => ({ ...(found ?? foundNothing), observationIds: [...new Set([...found.observationIds, ...same])] }));
            onClose();
          }}
        >
          {say("walk.known.same")}
        </button>
      )}
    </div>
  );
}

/** What grounds the machine, shown during the walk, since it may have been reported only now. */
export function Against({ machine, now, depotRules }: { machine: BundleMachine; now: Date; depotRules: DepotRules }) {
  const [first] = obstacles(machine.state, now, depotRules);
  return first ? (
    <p class="notice" role="status">
      {say("walk.against", { why: sayWhy(first) })}
    </p>
  ) : null;
}
