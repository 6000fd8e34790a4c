import { useRef } from "preact/hooks";
import { call } from "./call.ts";
import { newId } from "./new-id.ts";

interface Once {
  /** the body is `what` with an `id` added; `dated`: the field for the moment at which it was done */
  readonly send: <Receipt>(path: string, what: object, dated?: string) => Promise<Receipt>;
  /** All was answered: whatever is sent from now on is another act, even if it says the same. */
  readonly done: () => void;
}

/** Sends acts that must happen only once. Sent again after a lost answer one has the same id and moment, so it is one record; another content is another act. */
export function useOnce(): Once {
  const sent = useRef(new Map<string, { readonly id: string; readonly at: string }>());
  return {
    send: <Receipt>(path: string, what: object, dated?: string): Promise<Receipt> => {
      const key = `${path} ${JSON.stringify(what)}`;
      const { id, at } = sent.current.get(key) ?? { id: newId(), at: new Date().toISOString() };
      sent.current.set(key, { id, at });
      return call<Receipt>(path, { method: "POST", body: { id, ...(dated === undefined ? {} : { [dated]: at }), ...what } });
    },
    done: () => sent.current.clear(),
  };
}
