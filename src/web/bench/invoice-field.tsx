// The total of another workshop's invoice, in the firm's currency; not asked for where the firm has none.
import { useState } from "preact/hooks";
import { decimalsOf, readAmount } from "../../../shared/rules/money.ts";
import type { Policy } from "../../../shared/rules/policy.ts";
import { call } from "../frame/call.ts";
import { useLoaded } from "../frame/parts.tsx";
import { exampleOf } from "../frame/say-amount.ts";
import { say } from "../frame/words.ts";

export function InvoiceField({ onCost }: { onCost: (costMinor: number | null) => void }) {
  const policy = useLoaded((signal) => call<Policy>("/v1/policy", { signal }), []);
  const [text, setText] = useState("");
  const currency = policy.value?.currency ?? null;
  if (currency === null) return null;
  const amount = text.trim() === "" ? null : readAmount(text, decimalsOf(currency));
  const isWrong = amount !== null && "wrong" in amount;
  return (
    <>
      <label>
        <span>{say("outside.cost", { currency })}</span>
        <input
          inputMode="decimal"
          // An empty pattern would let a form go with an amount that is left out of what it sends.
          pattern={isWrong ? "(?!)" : undefined}
          aria-invalid={isWrong}
          value={text}
          onInput={({ currentTarget: { value } }) => {
            setText(value);
            const read = readAmount(value, decimalsOf(currency));
            onCost("minor" in read ? read.minor : null);
          }}
        />
      </label>
      <p class="small">{isWrong ? say("costs.not-an-amount", { example: exampleOf(currency) }) : say("outside.cost.whole")}</p>
    </>
  );
}
