// The number of a part, with those of the list offered while it is typed; one that is listed brings its name along.
import { useEffect, useId, useRef, useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Part } from "../../../shared/contracts/parts.ts";
import { partKey } from "../../../shared/rules/part-prices.ts";
import { call } from "../frame/call.ts";
import { say } from "../frame/words.ts";

/** Nobody reads a longer list while typing. */
const mostOffered = 12;
/** A call for each letter would be one too many on a poor link. */
const restMs = 250;

interface Entered {
  readonly number: string;
  readonly name: string;
  readonly quantity: string;
}

export function PartNumber({ part, onPart }: { part: Entered; onPart: (part: Entered) => void }) {
  const id = useId();
  const [offered, offer] = useState<readonly Part[]>([]);
  // What is typed while the list is asked stays.
  const latest = useRef({ part, onPart });
  latest.current = { part, onPart };
  const filledIn = useRef("");
  const asked = part.number.trim();
  useEffect(() => {
    if (asked === "") return undefined;
    const stop = new AbortController();
    const ask = async () => {
      const query = new URLSearchParams({ limit: String(mostOffered), search: asked });
      const { items } = await call<{ items: readonly Part[] }>(`/v1/parts?${query.toString()}`, { signal: stop.signal, byItself: true });
      offer(items);
      const listed = items.find(({ number }) => partKey(number) === partKey(asked));
      const now = latest.current;
      if (!listed || (now.part.name !== "" && now.part.name !== filledIn.current)) return;
      filledIn.current = listed.name;
      now.onPart({ ...now.part, name: listed.name });
    };
    // Without a signal the number is kept as typed.
    const timer = setTimeout(() => void ask().catch(() => undefined), restMs);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [asked]);
  return (
    <label class="short">
      <span>{say("bench.part.number")}</span>
      <input
        list={id}
        autocomplete="off"
        maxLength={limits.partNumber}
        value={part.number}
        onInput={({ currentTarget: { value: number } }) => onPart({ ...part, number })}
      />
      <datalist id={id}>
        {offered.map(({ number, name }) => (
          <option key={number} value={number}>
            {name}
          </option>
        ))}
      </datalist>
    </label>
  );
}
