// Keys large enough for gloves. The value is kept as it is typed, so that nothing jumps under the finger.
import { say } from "../frame/words.ts";

export interface NumberPadProps {
  readonly label: string;
  readonly text: string;
  readonly unit: string;
  readonly decimals: boolean;
  /** the most that the service takes: a key that would go past it does nothing */
  readonly most?: number;
  readonly onText: (text: string) => void;
}

const longest = 7;

/** The value of what was typed; null while it is not a number. */
export function valueTyped(text: string): number | null {
  return text === "" || text === "." ? null : Number(text);
}

export function typed(text: string, key: string, most = Number.POSITIVE_INFINITY): string {
  if (key === "back") return text.slice(0, -1);
  if (key === "." && text.includes(".")) return text;
  if (text.length >= longest) return text;
  return within(text === "0" && key !== "." ? key : text + key, most, text);
}

const within = (next: string, most: number, before: string): string => ((valueTyped(next) ?? 0) > most ? before : next);

export function NumberPad({ label, text, unit, decimals, most, onText }: NumberPadProps) {
  const press = (key: string) => onText(typed(text, key, most));
  return (
    <div class="pad">
      <label>
        <span>
          {label} ({unit})
        </span>
        <input
          class="mono"
          inputMode={decimals ? "decimal" : "numeric"}
          autocomplete="off"
          value={text}
          onInput={(event) => {
            const put = event.currentTarget.value
              .replace(",", ".")
              .replace(decimals ? /[^\d.]/g : /\D/g, "")
              .replace(/(\..*)\./g, "$1")
              .slice(0, longest);
            const next = within(put, most ?? Number.POSITIVE_INFINITY, text);
            event.currentTarget.value = next;
            onText(next);
          }}
        />
      </label>
      <div class="keys">
        {["1", "2", "3", "4", "5", "6", "7", "8", "9", decimals ? "." : "", "0", "back"].map((key) =>
          key === "" ? (
            <span key="gap" />
          ) : (
            <button key={key} type="button" onClick={() => press(key)} aria-label={key === "back" ? say("walk.pad.back") : undefined}>
              {key === "back" ? "⌫" : key}
            </button>
          ),
        )}
      </div>
    </div>
  );
}
