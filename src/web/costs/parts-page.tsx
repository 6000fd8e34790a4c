// The list of parts: found by number or name, kept by hand or from a file.
import { useState } from "preact/hooks";
import { limits } from "../../../shared/contracts/limits.ts";
import type { Part } from "../../../shared/contracts/parts.ts";
import { decimalsOf, readAmount } from "../../../shared/rules/money.ts";
import type { Policy } from "../../../shared/rules/policy.ts";
import { call } from "../frame/call.ts";
import { Trouble, useLoaded, Waiting } from "../frame/parts.tsx";
import { to } from "../frame/route.ts";
import { asTyped, exampleOf, sayAmount } from "../frame/say-amount.ts";
import { say, sayDay } from "../frame/words.ts";
import { ImportParts } from "./import-parts.tsx";

interface Found {
  readonly items: readonly Part[];
  readonly nextCursor: string | null;
}

export function PartsPage({ canWrite }: { canWrite: boolean }) {
  const [search, setSearch] = useState("");
  const [chosen, choose] = useState<Part | null>(null);
  const query = new URLSearchParams({ limit: "200", ...(search.trim() !== "" && { search: search.trim() }) });
  const list = useLoaded((signal) => call<Found>(`/v1/parts?${query.toString()}`, { signal }), [query.toString()]);
  const policy = useLoaded((signal) => call<Policy>("/v1/policy", { signal }), []);
  const currency = policy.value?.currency ?? null;
  return (
    <>
      <h1>{say("parts.title")}</h1>
      {canWrite && (
        <p>
          <a href={to("bench", "stock")}>{say("stock.title")}</a>
        </p>
      )}
      {policy.value && currency === null && <p class="notice">{say("costs.no-currency")}</p>}
      <label class="find-mark">
        <span>{say("parts.search")}</span>
        <input type="search" value={search} maxLength={limits.partName} onInput={({ currentTarget: { value } }) => setSearch(value)} />
      </label>
      <Trouble error={list.error} again={list.reload} />
      {list.value === null && list.loading && <Waiting />}
      {list.value && <List found={list.value} isSearched={search.trim() !== ""} onChange={canWrite ? choose : null} />}
      {canWrite && policy.value && (
        <>
          <PartForm key={chosen?.number ?? ""} part={chosen} currency={currency} onKept={list.reload} />
          <ImportParts onImported={list.reload} />
        </>
      )}
    </>
  );
}

const sayPrice = ({ price, prices }: Part): string => {
  const shown = price ?? prices[0] ?? null;
  return shown === null
    ? say("parts.price.none")
    : say("parts.price.from", { price: sayAmount(shown.priceMinor, shown.currency), day: sayDay(shown.fromDay) });
};

function List({ found, isSearched, onChange }: { found: Found; isSearched: boolean; onChange: ((part: Part) => void) | null }) {
  if (found.items.length === 0) return <p>{say(isSearched ? "parts.none-found" : "parts.none")}</p>;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by the keyboard
    <section class="wide" tabIndex={0} aria-label={say("parts.title")}>
      <table>
        <thead>
          <tr>
            <th scope="col">{say("parts.number")}</th>
            <th scope="col">{say("parts.name")}</th>
            <th scope="col" class="amount">
              {say("parts.price")}
            </th>
            {onChange && <th scope="col">{say("parts.change")}</th>}
          </tr>
        </thead>
        <tbody>
          {found.items.map((part) => (
            <tr key={part.number}>
              <th scope="row" class="mono">
                {part.number}
              </th>
              <td>
                <bdi>{part.name}</bdi>
              </td>
              <td class="amount">{sayPrice(part)}</td>
              {onChange && (
                <td>
                  <button type="button" aria-label={`${say("parts.change")} ${part.number}`} onClick={() => onChange(part)}>
                    {say("parts.change")}
                  </button>
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      {found.nextCursor !== null && <p class="small">{say("parts.more")}</p>}
    </section>
  );
}

const enteredOf = (part: Part | null) => ({
  number: part?.number ?? "",
  name: part?.name ?? "",
  price: part?.price ? asTyped(part.price.priceMinor, part.price.currency) : "",
  fromDay: "",
});

/** A part, new or one of the list; `currency` null: without a price. */
function PartForm({ part, currency, onKept }: { part: Part | null; currency: string | null; onKept: () => void }) {
  const [entered, setEntered] = useState(() => enteredOf(part));
  const [state, setState] = useState<{ busy: boolean; error: unknown; kept: boolean }>({ busy: false, error: null, kept: false });
  const { number, name, price, fromDay } = entered;
  const amount = currency === null || price.trim() === "" ? null : readAmount(price, decimalsOf(currency));
  const isWrong = amount !== null && "wrong" in amount;
  const isSamePrice = fromDay === "" && price === enteredOf(part).price;
  const keep = async (event: Event) => {
    event.preventDefault();
    if (isWrong) return;
    setState({ busy: true, error: null, kept: false });
    const priced = amount === null || isSamePrice ? {} : { priceMinor: amount.minor, ...(fromDay !== "" && { fromDay }) };
    try {
      await call<Part>(`/v1/parts/${encodeURIComponent(number)}`, { method: "PUT", body: { name, ...priced } });
      setState({ busy: false, error: null, kept: true });
      onKept();
    } catch (error) {
      setState({ busy: false, error, kept: false });
    }
  };
  const field = (of: keyof typeof entered, most: number, more: object = {}) => (
    <label>
      <span>{say(`parts.${of === "fromDay" ? "from-day" : of}`)}</span>
      <input
        value={entered[of]}
        maxLength={most}
        {...more}
        onInput={({ currentTarget: { value } }) => setEntered({ ...entered, [of]: value })}
      />
    </label>
  );
  return (
    <form class="paper-form" onSubmit={(event) => void keep(event)}>
      <h2>{say("parts.add")}</h2>
      <div class="row">
        {field("number", limits.listedPartNumber, { required: true, readOnly: part !== null })}
        {field("name", limits.partName, { required: true })}
        {currency !== null && field("price", 20, { inputMode: "decimal", "aria-invalid": isWrong })}
        {currency !== null && field("fromDay", 10, { type: "date" })}
      </div>
      {isWrong && currency !== null && <p class="notice">{say("costs.not-an-amount", { example: exampleOf(currency) })}</p>}
      <Trouble error={state.error} />
      <button type="submit" class="main" disabled={state.busy || isWrong}>
        {say("parts.keep")}
      </button>
      {state.kept && <p role="status">{say("parts.kept")}</p>}
    </form>
  );
}
