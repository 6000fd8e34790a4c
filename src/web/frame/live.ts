// Server-sent events: reconnects with growing pauses, and says when it is not connected.
import { useEffect, useRef, useState } from "preact/hooks";
import { call, Problem } from "./call.ts";

const firstWaitMs = 1000;
const longestWaitMs = 30_000;

/**
 * Listens at `address` while it is not null, and calls `onEvent` for each event of these names with its data.
 * Returns whether it is connected now; `again` is called for every connection after the first, since events in between were missed.
 */
export function useEvents(
  address: string | null,
  names: readonly string[],
  onEvent: (name: string, data: string) => void,
  again?: () => void,
): boolean {
  const [connected, setConnected] = useState(false);
  const handlers = useRef({ onEvent, again });
  handlers.current = { onEvent, again };
  useEffect(() => {
    if (address === null) return setConnected(false);
    let source: EventSource | null = null;
    let timer: ReturnType<typeof setTimeout> | undefined;
    let waitMs = firstWaitMs;
    let before = false;
    let gone = false;
    const later = () => {
      timer = setTimeout(() => void retry(), waitMs);
      waitMs = Math.min(2 * waitMs, longestWaitMs);
    };
    const open = () => {
      source = new EventSource(address);
      source.onopen = () => {
        waitMs = firstWaitMs;
        setConnected(true);
        if (before) handlers.current.again?.();
        before = true;
      };
      source.onerror = () => {
        source?.close();
        setConnected(false);
        later();
      };
      for (const name of names) source.addEventListener(name, (event) => handlers.current.onEvent(name, event.data as string));
    };
    // An event source cannot renew a session that has run out; a call does.
    const retry = async () => {
      const mayListen = await call("/v1/me", { byItself: true }).then(
        () => true,
        (error: unknown) => !(error instanceof Problem && error.status === 401),
      );
      if (gone) return;
      if (mayListen) open();
      else later();
    };
    open();
    return () => {
      gone = true;
      clearTimeout(timer);
      source?.close();
    };
  }, [address, names.join()]);
  return connected;
}
