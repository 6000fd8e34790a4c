// The button under the thumb. It is at the same place on each screen, so without a pause a touch that bounces would answer a screen that nobody has
// looked at.
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";

/** Touches of one bouncing finger lie closer together, and nobody reads a station in that time (common practice, no source). */
const bounceMs = 300;

interface SteadyButtonProps {
  /** identifies what is on the screen: when it changes, the button is disabled for a moment */
  readonly shown: string;
  readonly disabled?: boolean;
  /** disabled because something has to be done first; `saying-why`: the button's text says what */
  readonly rests?: "quietly" | "saying-why" | undefined;
  /** one that is not the way on */
  readonly plain?: boolean;
  /** once at a time */
  readonly act: () => void | Promise<void>;
  readonly children: ComponentChildren;
}

export function SteadyButton({ shown, disabled = false, rests, plain = false, act, children }: SteadyButtonProps) {
  const [settled, setSettled] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(shown), bounceMs);
    return () => clearTimeout(timer);
  }, [shown]);
  const resting = rests !== undefined || settled !== shown || busy;
  return (
    <button
      type="button"
      class={plain ? "" : rests === "saying-why" ? "main rests" : "main"}
      disabled={disabled}
      // Not `disabled`, which would take the focus away and flicker.
      aria-disabled={resting}
      onClick={() => {
        if (resting) return;
        const acting = act();
        if (!acting) return;
        setBusy(true);
        void acting.finally(() => setBusy(false));
      }}
    >
      {children}
    </button>
  );
}
