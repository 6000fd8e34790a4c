// A store: holds a value and notifies the components that show it. It is outside of components, so that it outlives them.
import { useEffect, useRef, useState } from "preact/hooks";

export interface Store<Value> {
  readonly get: () => Value;
  readonly set: (value: Value) => void;
  readonly subscribe: (notify: () => void) => () => void;
}

export function createStore<Value>(first: Value): Store<Value> {
  let value = first;
  const subscribers = new Set<() => void>();
  return {
    get: () => value,
    set: (next) => {
      value = next;
      for (const notify of [...subscribers]) notify();
    },
    subscribe: (notify) => {
      subscribers.add(notify);
      return () => void subscribers.delete(notify);
    },
  };
}

/** The value of a store; the component is drawn anew when it changes. */
export function useStore<Value>(store: Store<Value>): Value {
  const [, drawAnew] = useState(0);
  const value = store.get();
  const drawn = useRef(value);
  drawn.current = value;
  useEffect(() => {
    const notify = () => drawAnew((count) => count + 1);
    // The value may have changed after drawing, before this component listened.
    if (store.get() !== drawn.current) notify();
    return store.subscribe(notify);
  }, [store]);
  return value;
}

/** Calls `act` once a minute while the page is in front, and when it comes back there; not while it is not `wanted`. */
export function useEveryMinute(act: () => void, wanted = true): void {
  const latest = useRef(act);
  latest.current = act;
  useEffect(() => {
    if (!wanted) return undefined;
    const go = () => {
      if (document.visibilityState === "visible") latest.current();
    };
    const timer = setInterval(go, 60_000);
    document.addEventListener("visibilitychange", go);
    return () => {
      clearInterval(timer);
      document.removeEventListener("visibilitychange", go);
    };
  }, [wanted]);
}

/** Draws the component anew with the time: what it shows depends on the time of day. */
export function useTimeOfDay(): void {
  const [, drawAnew] = useState(0);
  useEveryMinute(() => drawAnew((count) => count + 1));
}

/** A store whose value is kept on this device. If the browser keeps nothing, it starts with `first` each time. */
export function keptStore<Value extends string>(key: string, first: Value, isValue: (text: string) => text is Value): Store<Value> {
  const kept = localStorage.getItem(key);
  const store = createStore<Value>(kept !== null && isValue(kept) ? kept : first);
  store.subscribe(() => {
    try {
      localStorage.setItem(key, store.get());
    } catch {
      // It holds until the page is closed.
    }
  });
  return store;
}
