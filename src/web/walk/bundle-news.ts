// Keeps the bundle as fresh as the signal allows: refreshes it when the service says that something happened, when the page comes back to the
// front, and once a minute while it is there.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Person } from "../../../shared/contracts/people.ts";
import { openBundle, refreshBundle } from "../field/offline-bundle.ts";
import { keepSending } from "../field/outbox.ts";
import { useEvents } from "../frame/live.ts";
import { signInState } from "../frame/session.ts";
import { useEveryMinute } from "../frame/store.ts";

/** A busy depot has an event every second; the first causes a refresh at once, the next ones a common one. */
const leastGapMs = 3000;

export interface BundleNews {
  readonly error: unknown;
  /** the bundle was fetched since the page was opened, and the service could be reached at the last attempt */
  readonly fresh: boolean;
  readonly refresh: (everything?: boolean) => void;
}

export function useBundleNews(person: Person): BundleNews {
  const [state, setState] = useState<{ error: unknown; fresh: boolean }>({ error: null, fresh: false });
  const asking = useRef({ busy: false, again: false, everything: false, last: 0, timer: 0 as unknown as ReturnType<typeof setTimeout> });

  const refresh = (everything = false): void => {
    if (signInState.get().ended) return;
    const now = asking.current;
    now.everything ||= everything;
    now.again = true;
    if (now.busy) return;
    now.busy = true;
    void (async () => {
      while (now.again) {
        const all = now.everything;
        now.again = false;
        now.everything = false;
        now.last = Date.now();
        await refreshBundle(person, all).then(
          () => setState({ error: null, fresh: true }),
          (error: unknown) => setState({ error, fresh: false }),
        );
      }
      now.busy = false;
    })();
  };
  const refreshSoon = (everything: boolean): void => {
    const now = asking.current;
    now.everything ||= everything;
    clearTimeout(now.timer);
    now.timer = setTimeout(() => refresh(), Math.max(0, now.last + leastGapMs - Date.now()));
  };

  useEffect(() => {
    void openBundle(person.id).then(() => refresh(true));
    const stop = keepSending({ onAnswer: () => refresh(), onReturn: () => refresh() });
    return () => {
      stop();
      clearTimeout(asking.current.timer);
    };
  }, [person.id]);
  const inFront = useInFront();
  const connected = useEvents(
    inFront ? "/v1/readiness/events" : null,
    ["changed"],
    (_, data) => refreshSoon((JSON.parse(data) as { depotIds: unknown }).depotIds === null),
    () => refresh(),
  );
  // A lost connection is a reason to refresh too: that shows whether the service can still be reached.
  useEffect(() => {
    if (inFront && !connected && state.fresh) refresh();
  }, [connected]);
  // A connection that broke without notice is only detected by calling.
  useEveryMinute(() => refresh());
  return { ...state, refresh };
}

/** Whether the page is in front: a phone in the pocket does not listen, and refreshes when it is taken out. */
function useInFront(): boolean {
  const [inFront, setInFront] = useState(document.visibilityState === "visible");
  useEffect(() => {
    const onVisibility = () => setInFront(document.visibilityState === "visible");
    document.addEventListener("visibilitychange", onVisibility);
    return () => document.removeEventListener("visibilitychange", onVisibility);
  }, []);
  return inFront;
}
