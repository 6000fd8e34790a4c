// The small pieces that every page is made of.
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useId, useRef, useState } from "preact/hooks";
import type { Category, Standing } from "../../../shared/contracts/common.ts";
import { NoSignal, Problem } from "./call.ts";
import { NotOverHttps } from "./plain-http.ts";
import { asServiceSpeaks, say, sayKey } from "./words.ts";

/** The wheel that stands for a machine's standing: its shape says it without its colour. */
const spokes = "M12 3v18M3 12h18M5.6 5.6l12.8 12.8M18.4 5.6 5.6 18.4";
const signs: Readonly<Record<Standing, JSX.Element>> = {
  fit: (
    <>
      <circle cx="12" cy="12" r="9" />
      <path d={spokes} stroke-width="1.6" />
    </>
  ),
  unchecked: <circle cx="12" cy="12" r="9" stroke-dasharray="4 3.07" />,
  grounded: (
    <>
      <circle cx="12" cy="12" r="10" fill="currentColor" stroke="none" />
      <path d="M6.5 12h11" stroke="var(--paper)" stroke-width="4" />
    </>
  ),
  "inspection-overdue": (
    <>
      <circle cx="12" cy="12" r="9" />
      <path d="M12 7v5l4 3" />
    </>
  ),
  "papers-expired": <path d="M6 3h8l4 4v14H6zM14 3v4h4M9 15l6-3" />,
  withdrawn: (
    <>
      <circle cx="12" cy="12" r="9" />
      <path d="m6 18 12-12" />
    </>
  ),
};

export const StandingSign = ({ standing }: { standing: Standing }) => (
  <svg class={`sign sign-${standing}`} viewBox="0 0 24 24" fill="none" stroke="currentColor" stroke-width="2.4" aria-hidden="true">
    {signs[standing]}
  </svg>
);

/** A standing in sign and word. */
export const StandingMark = ({ standing }: { standing: Standing }) => (
  <span class={`standing standing-${standing}`}>
    <StandingSign standing={standing} />
    {say(`standing.${standing}`)}
  </span>
);

/** A category in word and weight: a dot for an advisory, one bar for minor, two for major, three for dangerous. */
export const CategoryMark = ({ category }: { category: Category }) => (
  <span class={`category category-${category}`}>
    <i aria-hidden="true">{{ advisory: "·", minor: "▂", major: "▂▅", dangerous: "▂▅█" }[category]}</i> {say(`category.${category}`)}
  </span>
);

/** Why the service refused: in its own words where the page speaks their language, since they say more; else by the code. */
export const sayRefusal = (code: string, detail: string): string => (asServiceSpeaks() ? detail : sayKey(`problem.${code}`, detail));

/** What went wrong, in words for the one who reads it. */
export function sayTrouble(error: unknown): string {
  if (error instanceof NoSignal) return say("page.no-signal.failed");
  if (error instanceof NotOverHttps) return say("page.https.proof");
  if (!(error instanceof Problem)) return say("page.broken");
  return sayRefusal(error.code, [error.message, ...error.issues.map(({ message }) => message)].join(" "));
}

/** Said aloud as well as shown. */
export const Trouble = ({ error, again }: { error: unknown; again?: () => void }) =>
  error === null || error === undefined ? null : (
    <div class="trouble" role="alert">
      <p>{sayTrouble(error)}</p>
      {again && (
        <button type="button" onClick={again}>
          {say("page.try-again")}
        </button>
      )}
    </div>
  );

export const Waiting = () => (
  <p class="waiting" role="status">
    {say("page.loading")} …
  </p>
);

export interface Loaded<Value> {
  readonly value: Value | null;
  readonly error: unknown;
  readonly loading: boolean;
  readonly reload: () => void;
}

/** Fetches when `about` changes or `reload` is called. The old value stays while a new one is being fetched, and if that fails. */
export function useLoaded<Value>(load: (signal: AbortSignal) => Promise<Value>, about: readonly unknown[]): Loaded<Value> {
  const [state, setState] = useState<{ value: Value | null; error: unknown; loading: boolean }>({
    value: null,
    error: null,
    loading: true,
  });
  const [turn, setTurn] = useState(0);
  const key = JSON.stringify(about);
  const shown = useRef(key);
  useEffect(() => {
    const stop = new AbortController();
    // If something else is asked about, the old value is no answer to it.
    const keep = shown.current === key;
    shown.current = key;
    setState(({ value }) => ({ value: keep ? value : null, error: null, loading: true }));
    load(stop.signal).then(
      (value) => setState({ value, error: null, loading: false }),
      (error: unknown) => {
        if (!stop.signal.aborted) setState(({ value }) => ({ value, error, loading: false }));
      },
    );
    return () => stop.abort();
  }, [key, turn]);
  return { ...state, reload: () => setTurn((count) => count + 1) };
}

/** A dialog over the page; Escape and the close button end it, where it may be ended. */
export function Dialog({ title, onClose, children }: { title: string; onClose?: () => void; children: ComponentChildren }) {
  const frame = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    frame.current?.showModal();
    return () => frame.current?.close();
  }, []);
  return (
    <dialog
      ref={frame}
      aria-labelledby={id}
      onCancel={(event) => {
        event.preventDefault();
        onClose?.();
      }}
    >
      <header>
        <h2 id={id}>{title}</h2>
        {onClose && (
          <button type="button" class="quiet" onClick={onClose}>
            {say("page.close")}
          </button>
        )}
      </header>
      {children}
    </dialog>
  );
}

interface ChoiceOf<Value extends string> {
  readonly label: string;
  readonly value: Value;
  readonly options: readonly { readonly value: Value; readonly text: string }[];
  readonly onChange: (value: Value) => void;
}

/** One of a few: radio buttons that look like a row of keys. */
export function Choice<Value extends string>({ label, value, options, onChange }: ChoiceOf<Value>) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      <div>
        {options.map((option) => (
          <label key={option.value}>
            <input type="radio" name={name} checked={option.value === value} onChange={() => onChange(option.value)} />
            <span>{option.text}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** One of many, by name. */
export function Pick<Value extends string>({ label, value, options, onChange }: ChoiceOf<Value>) {
  return (
    <label class="pick">
      <span>{label}</span>
      <select value={value} onChange={(event) => onChange(event.currentTarget.value as Value)}>
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.text}
          </option>
        ))}
      </select>
    </label>
  );
}
