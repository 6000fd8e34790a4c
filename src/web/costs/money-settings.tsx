// The firm's currency and what an hour at the bench costs: two fields of its policy.
import { useState } from "preact/hooks";
import { decimalsOf, readAmount } from "../../../shared/rules/money.ts";
import type { Policy } from "../../../shared/rules/policy.ts";
import { call } from "../frame/call.ts";
import { Pick, Trouble, useLoaded } from "../frame/parts.tsx";
import { asTyped, exampleOf } from "../frame/say-amount.ts";
import { language, say } from "../frame/words.ts";

type Money = Pick<Policy, "currency" | "hourlyRateMinor">;

export function MoneySettings({ onSaved }: { onSaved: () => void }) {
  const policy = useLoaded((signal) => call<Money>("/v1/policy", { signal }), []);
  return (
    <section>
      <h2>{say("costs.settings")}</h2>
      <Trouble error={policy.error} again={policy.reload} />
      {policy.value && <Settings kept={policy.value} onSaved={onSaved} />}
    </section>
  );
}

const rateIn = ({ currency, hourlyRateMinor }: Money): string =>
  currency === null || hourlyRateMinor === null ? "" : asTyped(hourlyRateMinor, currency);

function Settings({ kept, onSaved }: { kept: Money; onSaved: () => void }) {
  const [currency, setCurrency] = useState(kept.currency ?? "");
  const [rate, setRate] = useState(rateIn(kept));
  const [state, setState] = useState<{ busy: boolean; error: unknown; saved: boolean }>({ busy: false, error: null, saved: false });
  const amount = rate.trim() === "" || currency === "" ? null : readAmount(rate, decimalsOf(currency));
  const isWrong = amount !== null && "wrong" in amount;
  const names = new Intl.DisplayNames([language()], { type: "currency" });
  const save = async (event: Event) => {
    event.preventDefault();
    if (isWrong) return;
    setState({ busy: true, error: null, saved: false });
    const body = { currency: currency === "" ? null : currency, hourlyRateMinor: amount === null ? null : amount.minor };
    try {
      await call<Money>("/v1/policy", { method: "PATCH", body });
      setState({ busy: false, error: null, saved: true });
      onSaved();
    } catch (error) {
      setState({ busy: false, error, saved: false });
    }
  };
  return (
    <form class="row" onSubmit={(event) => void save(event)}>
      <Pick
        label={say("costs.currency")}
        value={currency}
        options={[
          { value: "", text: say("costs.currency.none") },
          ...Intl.supportedValuesOf("currency").map((code) => ({ value: code, text: `${code} ${names.of(code) ?? ""}` })),
        ]}
        onChange={setCurrency}
      />
      <label>
        <span>{say("costs.rate")}</span>
        <input
          inputMode="decimal"
          value={rate}
          disabled={currency === ""}
          aria-invalid={isWrong}
          onInput={({ currentTarget: { value } }) => setRate(value)}
        />
      </label>
      <button type="submit" class="main" disabled={state.busy || isWrong}>
        {say("costs.save")}
      </button>
      {isWrong && <p class="notice">{say("costs.not-an-amount", { example: exampleOf(currency) })}</p>}
      <Trouble error={state.error} />
      {state.saved && <p role="status">{say("costs.saved")}</p>}
    </form>
  );
}
