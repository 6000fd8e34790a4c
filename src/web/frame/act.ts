// One act of a form, sent once: how it stands, and what it was answered with.
import { useState } from "preact/hooks";
import { useOnce } from "./once.ts";

export interface Act<Receipt> {
  readonly busy: boolean;
  readonly error: unknown;
  readonly receipt: Receipt | null;
  /** as `useOnce` sends */
  readonly send: (path: string, what: object, dated?: string) => Promise<void>;
}

export function useAct<Receipt>(onDone?: (receipt: Receipt) => void): Act<Receipt> {
  const once = useOnce();
  const [state, setState] = useState<{ busy: boolean; error: unknown; receipt: Receipt | null }>({
    busy: false,
    error: null,
    receipt: null,
  });
  const send = async (path: string, what: object, dated?: string): Promise<void> => {
    setState({ busy: true, error: null, receipt: null });
    try {
      const receipt = await once.send<Receipt>(path, what, dated);
      once.done();
      setState({ busy: false, error: null, receipt });
      onDone?.(receipt);
    } catch (error) {
      setState({ busy: false, error, receipt: null });
    }
  };
  return { ...state, send };
}
