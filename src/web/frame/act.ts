// An act that must happen only once. Sent again after a lost answer it has the same id and moment, so it is one record; if its content changes, it is another act.
import { useRef, useState } from "preact/hooks";
import { call } from "./call.ts";
import { newId } from "./new-id.ts";

export interface Act<Receipt> {
  readonly busy: boolean;
  readonly error: unknown;
  readonly receipt: Receipt | null;
  /** the body is `what` with an `id` added; `dated`: the field for the moment at which it was done */
  readonly send: (path: string, what: object, dated?: string) => Promise<void>;
}

export function useAct<Receipt>(onDone?: (receipt: Receipt) => void): Act<Receipt> {
  const last = useRef<{ readonly key: string; readonly id: string; readonly at: string } | null>(null);
  const [state, setState] = useState<{ busy: boolean; error: unknown; receipt: Receipt | null }>({
    busy: false,
    error: null,
    receipt: null,
  });
  const send = async (path: string, what: object, dated?: string): Promise<void> => {
    const key = `${path} ${JSON.stringify(what)}`;
    if (last.current?.key !== key) last.current = { key, id: newId(), at: new Date().toISOString() };
    const { id, at } = last.current;
    setState({ busy: true, error: null, receipt: null });
    try {
      const body = { id, ...(dated === undefined ? {} : { [dated]: at }), ...what };
      const receipt = await call<Receipt>(path, { method: "POST", body });
      setState({ busy: false, error: null, receipt });
      onDone?.(receipt);
    } catch (error) {
      setState({ busy: false, error, receipt: null });
    }
  };
  return { ...state, send };
}
